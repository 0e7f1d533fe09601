//! Files that mean harm or are merely broken: every command that reads one tells it and lives.

use crate::support::{HARBOUR, Place};

/// Aliases that would unfold to millions of nodes; reading up to the limit takes seconds without optimisation.
fn alias_bomb() -> String {
    "a: &a [x, x, x, x, x, x, x, x, x]\n".to_owned()
        + &(b'b'..=b'i')
            .map(|c| {
                let (c, p) = (c as char, (c - 1) as char);
                format!("{c}: &{c} [*{p}, *{p}, *{p}, *{p}, *{p}, *{p}, *{p}, *{p}, *{p}]\n")
            })
            .collect::<String>()
}

fn files() -> Vec<(&'static str, Vec<u8>)> {
    let text = |t: String| t.into_bytes();
    vec![
        ("empty", Vec::new()),
        ("binary", (0..=255).cycle().take(5000).collect()),
        ("not-utf8", b"format: headround site 1\nsite: {name: \"\xff\xfe\"}\n".to_vec()),
        ("deep", text(format!("a: {}", "[".repeat(100_000)))),
        ("escape", text(HARBOUR.replace("Harbour Office", "\"\\e[2J\\e]0;owned\\a\\u202E\""))),
        ("escape-raw", text(HARBOUR.replace("Harbour Office", "Har\u{1b}[2Jbour"))),
        ("duplicate-key", text(HARBOUR.replace("  plant:", "  hall:"))),
        ("unknown-key", text(HARBOUR.replace("ceiling_max", "ceiling_mix"))),
        ("wrong-type", text(HARBOUR.replace("- 3 int-upright", "- {a: b}"))),
        ("huge-count", text(HARBOUR.replace("3 int-upright", "9999999999 int-upright"))),
        ("cold-rating", text(HARBOUR.replace("155 F", "-9000 F"))),
        ("newer", text(HARBOUR.replace("site 1", "site 9"))),
        ("long-line", text(format!("{HARBOUR}--- {{\"id\":\"{}\"}}\n", "x".repeat(3_000_000)))),
        (
            "bad-entry",
            text(format!(
                "{HARBOUR}--- {{\"id\":\"01KAVQ5R8Z0000000000000001\",\"at\":\"now\",\"by\":\"\\u001b[31m\"}}\n"
            )),
        ),
        (
            "bad-round-name",
            text(format!(
                "{HARBOUR}--- {{\"id\":\"01KAVQ5R8Z0000000000000001\",\"at\":\"2026-11-25T09:14:02-05:00\",\"by\":\"\\u001b[31mosk\",\"round\":\"\\u001b]0;x\\u0007\",\"seen\":\"hall\"}}\n"
            )),
        ),
    ]
}

#[test]
fn no_command_dies_of_a_file_or_lets_it_steer_the_terminal() {
    let place = Place::new();
    let mut styles = ["full", "short", "narrated", "json"].into_iter().cycle();
    for (name, bytes) in files() {
        let file = format!("@{name}.site.yaml");
        std::fs::write(place.path(&format!("{name}.site.yaml")), &bytes).unwrap();
        // Seven commands and four styles: over the files every command meets every style.
        for command in ["status", "rulings", "check", "report", "signoff", "tidy", "begin"] {
            let style = styles.next().unwrap();
            let ran = place.run(&[command, &file, "--diagnostics", style]);
            assert!([0, 2].contains(&ran.code), "{name} {command}: {ran}");
            assert!(ran.err.len() < 100_000, "{name} {command}: {} bytes", ran.err.len());
            for text in [&ran.out, &ran.err] {
                let bad = text.chars().find(|c| *c != '\n' && headround::diag::is_unprintable(*c));
                assert_eq!(bad, None, "{name} {command} {style}: {text:?}");
            }
            if style == "json" {
                serde_json::from_str::<serde_json::Value>(&ran.err)
                    .unwrap_or_else(|e| panic!("{name} {command}: {e}: {ran}"));
            }
        }
        let ran = place.typed(&["walk", &file, "--plain"], "s\nhelp\nq\n");
        assert!([0, 2].contains(&ran.code), "{name}: {ran}");
        assert!(!ran.out.chars().any(|c| c != '\n' && headround::diag::is_unprintable(c)), "{name}: {:?}", ran.out);
        assert_eq!(std::fs::read(place.path(&format!("{name}.site.yaml"))).unwrap(), bytes, "{name} was changed");
    }
}

#[test]
fn a_broken_file_is_never_taken_for_a_sound_one() {
    let place = Place::new();
    for (name, bytes) in files() {
        std::fs::write(place.path(&format!("{name}.site.yaml")), &bytes).unwrap();
        let ran = place.run(&["check", &format!("@{name}.site.yaml")]);
        let sound = ["escape", "bad-round-name"].contains(&name);
        assert_eq!(ran.code, if sound { 0 } else { 2 }, "{name}: {ran}");
    }
}

#[test]
fn an_alias_bomb_is_told_and_not_unfolded() {
    let place = Place::new();
    place.write("bomb.site.yaml", &alias_bomb());
    let ran = place.run(&["status", "@bomb.site.yaml", "--diagnostics", "short"]);
    assert_eq!(ran.code, 2, "{ran}");
    assert!(ran.err.len() < 2_000, "{ran}");
}

#[test]
fn a_folder_or_a_missing_file_is_told() {
    let place = Place::new();
    std::fs::create_dir(place.path("folder.site.yaml")).unwrap();
    for file in ["@folder.site.yaml", "@none.site.yaml"] {
        for command in ["status", "rulings", "check", "report", "signoff", "tidy", "begin"] {
            let ran = place.run(&[command, file]);
            assert_eq!(ran.code, 2, "{command}: {ran}");
            assert!(!ran.err.is_empty());
        }
    }
}
