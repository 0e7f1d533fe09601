use insta::assert_snapshot;

use crate::support::Place;

#[test]
fn the_demo_is_made_once_and_a_walked_copy_is_kept() {
    let place = Place::new();
    assert_snapshot!(place.run(&["demo"]), @r"
    exit 0
    The demo was made at data/demo/cannery.site.yaml
    Walk it with: headround walk 'data/demo/cannery.site.yaml'
    ");
    let demo = "data/demo/cannery.site.yaml";
    place.typed(&["walk", &format!("@{demo}"), "--plain"], "note walked\n");
    let walked = place.read(demo);
    assert!(walked.contains("walked"));
    assert_snapshot!(place.run(&["demo"]), @r"
    exit 0
    The demo is at data/demo/cannery.site.yaml
    Walk it with: headround walk 'data/demo/cannery.site.yaml'
    ");
    assert_eq!(place.read(demo), walked);
    let fresh = place.fine(&["demo", "--fresh", "--json"]).json();
    assert_eq!(fresh["made"], true);
    assert_eq!(fresh["kept"], format!("{demo}.before-1"));
    assert_eq!(place.read(&format!("{demo}.before-1")), walked);
    assert!(!place.read(demo).contains("\"walked\""));
}

#[test]
fn the_demo_can_be_walked_ruled_and_checked() {
    let place = Place::new();
    place.fine(&["demo"]);
    let demo = "@data/demo/cannery.site.yaml";
    assert_eq!(place.run(&["check", demo]).code, 0);
    let status = place.fine(&["status", demo, "--json"]).json();
    assert!((300..=600).contains(&status[0]["heads"].as_u64().unwrap()));
    assert!(status[0]["unseen"].as_u64().unwrap() > 0, "half walked");
    assert!(place.fine(&["rulings", demo, "--json"]).json().as_array().unwrap().len() > 3);
    assert_eq!(place.run(&["signoff", demo, "--name", "Ines Tidewell", "--yes"]).code, 2);
}

#[test]
fn without_a_data_folder_it_says_what_to_set() {
    let mut place = Place::new();
    place.around.data = None;
    assert_snapshot!(place.run(&["demo"]), @r"
    exit 2
    --- standard error
    error[no-data-folder]: there is no folder for the demo
    --> headround
     = help: set HEADROUND_DATA to a folder of yours
    ");
}
