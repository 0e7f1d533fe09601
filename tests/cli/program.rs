//! The real program, as a process.

use std::io::Read as _;
use std::process::Stdio;

use crate::support::Place;

#[test]
fn the_program_reads_its_surroundings_and_exits_with_the_outcome() {
    let place = Place::with_harbour();
    let ran = place.real(&["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell", "--on", "2026-11-25"]);
    assert_eq!(ran.code, 0, "{ran}");
    assert!(place.read("harbour.site.yaml").contains("\"by\":\"ines\""));
    assert_eq!(place.real(&["status", "@harbour.site.yaml", "--strict"]).code, 1);
    assert_eq!(place.real(&["status", "@none.site.yaml"]).code, 2);
    assert_eq!(place.real(&["nonsense"]).code, 2);
    let demo = place.real(&["demo"]);
    assert!(demo.out.contains("data/demo/cannery.site.yaml"), "{demo}");
    let by = place
        .program(&["begin", "@harbour.site.yaml", "--round", "b", "--inspector", "X"])
        .env("HEADROUND_BY", "osk")
        .output()
        .unwrap();
    assert!(by.status.success());
    assert!(place.read("harbour.site.yaml").contains("\"by\":\"osk\""));
}

#[test]
fn nobody_reading_any_more_is_no_trouble() {
    let place = Place::new();
    place.fine(&["demo"]);
    for command in
        [&["status", "@data/demo/cannery.site.yaml", "--json"][..], &["rules", "show"], &["man"], &["--help"]]
    {
        let mut child = place.program(command).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let mut err = String::new();
        child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
        assert_eq!(child.wait().unwrap().code(), Some(0), "{command:?}: {err}");
        assert_eq!(err, "", "{command:?}");
    }
}

#[test]
fn the_plain_walk_works_over_a_pipe() {
    use std::io::Write as _;
    let place = Place::half_walked();
    let mut command = place.program(&["walk", "@harbour.site.yaml", "--plain"]);
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(b"count\nq\n").unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    assert!(String::from_utf8(output.stdout).unwrap().contains("Round 2026: 10 heads"));
}
