//! A site file is YAML for everybody: general-purpose readers (PyYAML, and ruamel.yaml for YAML 1.2) read the same values from it
//! as this program does.
//!
//! Needs Python 3 with both libraries. Without them the test fails, unless `HEADROUND_WITHOUT_PYTHON=1` asks to leave it out.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    missing_docs
)]

mod record_support;

use std::io::Write as _;
use std::process::{Command, Stdio};
use std::sync::Arc;

use headround::diag::Source;
use headround::diag::tree::{self, Limits};
use headround::record::line;
use headround::round::entry::{Entry, Names};
use headround::trade::address::AreaId;
use headround::trade::register::{Cabinet, Occupancy};
use headround::trade::register_write;
use record_support::*;
use serde_json::Value;

/// Reads all documents from standard input and prints them as one JSON list. PyYAML follows YAML 1.1, so every scalar is left as
/// the text it was written as; ruamel.yaml follows 1.2 and says what it takes each for.
const SCRIPT: &str = r#"
import sys, json, io
which, text = sys.argv[1], sys.stdin.buffer.read().decode("utf-8-sig")
if which == "pyyaml":
    import yaml
    documents = list(yaml.load_all(text, Loader=yaml.BaseLoader))
else:
    from ruamel.yaml import YAML
    documents = list(YAML(typ="safe", pure=True).load_all(io.StringIO(text)))
json.dump(documents, sys.stdout, default=str)
"#;

/// What Python reads; `None` where it was asked to be left out.
fn python(which: &str, text: &str) -> Option<Vec<Value>> {
    if std::env::var_os("HEADROUND_WITHOUT_PYTHON").is_some_and(|v| v == "1") {
        println!("left out, as HEADROUND_WITHOUT_PYTHON=1 asks");
        return None;
    }
    let needed = "this test needs Python 3 with two libraries: install them with `pip install pyyaml ruamel.yaml`, \
        or leave the test out with HEADROUND_WITHOUT_PYTHON=1";
    let mut child = Command::new("python3")
        .args(["-c", SCRIPT, which])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| panic!("python3 could not be started ({e}); {needed}"));
    child.stdin.take().expect("a pipe").write_all(text.as_bytes()).expect("written");
    let out = child.wait_with_output().expect("it ends");
    let errors = String::from_utf8_lossy(&out.stderr);
    assert!(!errors.contains("ModuleNotFoundError"), "{needed}\n{errors}");
    assert!(out.status.success(), "{which} does not read the file:\n{errors}\n{text}");
    Some(serde_json::from_slice(&out.stdout).expect("JSON"))
}

/// The same value with every scalar as text, as YAML 1.1 and 1.2 take `155 F`, dates and numbers for different things.
fn as_text(value: &Value) -> Value {
    match value {
        Value::Array(items) => items.iter().map(as_text).collect(),
        Value::Object(items) => items.iter().map(|(k, v)| (k.clone(), as_text(v))).collect(),
        Value::String(text) => Value::String(text.clone()),
        Value::Null => Value::String(String::new()),
        other => Value::String(other.to_string()),
    }
}

/// The register as this program's tree of nodes.
fn register_tree(text: &str) -> Value {
    tree::read(&Source::new("t", text), Limits::REGISTER).expect("reads").to_json()
}

/// A register with every sort of text that YAML readers disagree about, written by the program.
fn awkward_register() -> String {
    let mut register = read(REGISTER).register.expect("a register");
    register.site.name = "no".to_owned();
    register.site.place = "4: Saltpan # Lane, {Port} \"Tarrow\" – 喷头\u{7f}\u{85}\u{2028}\u{feff}".to_owned();
    register.site.owner = Some("1e3".to_owned());
    register.site.tell = [
        "012",
        "0x1F",
        "~",
        "null",
        "yes",
        "2026-11-25",
        "12:30:45",
        " lead",
        "tail ",
        "1_000",
        "-",
        "= x",
        "<<",
        "é\u{1b}[2J",
        "",
        "a\nb\tc",
    ]
    .map(str::to_owned)
    .to_vec();
    register.kinds[0].number = Some("0755".to_owned());
    register.kinds[0].note = Some("off".to_owned());
    register.areas[0].note = Some("- not: a list".to_owned());
    register.areas[0].hazard = Some(Occupancy::Ordinary);
    register.kinds[0].wrench = Some("12".to_owned());
    register.site.dry_restored = Some("no: # caps".to_owned());
    let id = |text: &str| AreaId::parse(text).expect("a name");
    register.cabinets = vec![
        Cabinet {
            id: id("riser"),
            name: "on".to_owned(),
            place: Some("012: beside the [riser]".to_owned()),
            serves: vec![register.areas[0].id.clone()],
            keep: vec![(register.kinds[0].id.clone(), 6)],
        },
        Cabinet { id: id("0"), name: String::new(), place: None, serves: Vec::new(), keep: Vec::new() },
    ];
    register_write::write(&register)
}

fn every_entry() -> Vec<Entry> {
    let verbs = [
        r#""begin":{"date":"2026-11-25","inspector":"Ines Tidewell","licence":"0118","purpose":"annual inspection"}"#,
        r#""seen":"pack/1.1..1.6""#,
        r#""saw":{"head":"pack/1.7","sign":"paint","part":"element","extent":"trace","applied":"field","doubtful":true,"note":"yes: # no, {x} 'y' \"z\" \\ \u0007\u001b[31m\u007f\u0085\u2028\ufeff\ud83d\ude92 喷头 \ttab\nline"}"#,
        r#""saw":{"head":"pack/1.7","sign":"blocked","part":"deflector","extent":"light","clearance":"12 in"}"#,
        r#""added":{"head":"pack/1.11","kind":"qr-pendent","after":4}"#,
        r#""new_kind":{"id":"esfr","orientation":"pendent","mount":"exposed","response":"quick","style":"esfr","element":"link","rating":"165 F","k":"14","finish":"brass","made":"2011"}"#,
        r#""new_area":{"id":"dock","name":"012","system":"dry","setting":["freezing"],"ceiling_max":"38 C","lines":["4 qr-pendent"]}"#,
        r#""did":{"head":"pack/1.7","did":"replaced","kind":"qr-pendent","from":"riser"}"#,
        r#""counted":{"cabinet":"riser","held":{"no":0,"qr-pendent":6},"unfit":{"qr-pendent":1},"note":"- one: painted"}"#,
        r#""moved":{"cabinet":"riser","kind":"qr-pendent","n":4294967295,"way":"put-in"}"#,
        r#""checked":{"cabinet":"0","wrenches":{"":false,"1e3":true},"list":"right","warmest":"95 F","dry":true}"#,
        r#""posted":{"cabinet":"riser","date":"2026-11-25","keep":{"~":6}}"#,
        r#""new_cabinet":{"id":"012","name":"null","place":"2026-11-25","serves":["pack"]}"#,
        r#""note":{"text":""}"#,
        r#""note":{"text":"~"}"#,
        r#""retract":"01KAVQ5R8Z0000000000000001""#,
        r#""signoff":{"name":"Ines Tidewell","date":"2026-11-25","digest":"sha256:00","lines":3}"#,
    ];
    verbs.iter().zip(1..).map(|(verb, n)| entry_saying(n, "ines", "2026", verb)).collect()
}

#[test]
fn other_readers_find_the_same_values_in_every_document() {
    let by_hand = format!(
        "# by hand\n---\nid: {}\nat: 2026-11-26T09:01:00-05:00\nby: osk\nround: 2026\nsaw:\n  head: pack/1.3\n  sign: paint\n  part: element\n  extent: trace\n  note: 'it''s'\n...\n",
        id(60)
    );
    for register in [REGISTER.to_owned(), awkward_register()] {
        let hash = read(&register).register_hash;
        let jsons: Vec<String> = every_entry().iter().map(|e| line::encode(e, Some(&hash))).collect();
        let folded = line::Folded::new(vec![id(40)], entry(1).at, "ines".to_owned()).encode(&hash);
        let lines: String = jsons.iter().chain([&folded]).map(|j| format!("--- {j}\n")).collect();
        let text = format!("{register}{lines}{by_hand}");
        let scan = read(&text);
        assert_eq!(told(&scan), Vec::<String>::new());
        assert_eq!(scan.entries.len(), jsons.len() + 1);
        let mut expected: Vec<Value> = vec![register_tree(&register)];
        expected.extend(jsons.iter().chain([&folded]).map(|j| serde_json::from_str::<Value>(j).expect("JSON")));

        for text in [text.clone(), format!("\u{feff}{}", text.replace('\n', "\r\n"))] {
            if let Some(documents) = python("pyyaml", &text) {
                let ours: Vec<Value> = expected.iter().map(as_text).collect();
                assert_eq!(documents[..ours.len()], ours);
                check_by_hand(&documents[ours.len()..], &scan.entries);
            }
            if let Some(documents) = python("ruamel", &text) {
                // The register's scalars compare as text where their type is the reader's choice (`5.6`, `2009`); entries by type too.
                assert_eq!(as_text(&documents[0]), as_text(&expected[0]));
                assert_eq!(documents[1..expected.len()], expected[1..]);
                assert_eq!(documents.len(), expected.len() + 1);
            }
        }
    }
}

/// The document by hand, read by Python and turned to an entry, is the entry this program read.
fn check_by_hand(documents: &[Value], entries: &[Entry]) {
    assert_eq!(documents.len(), 1);
    let theirs = Entry::from_value(&documents[0], &mut Names::default()).expect("an entry");
    let ours = entries.iter().find(|e| e.id == id(60)).expect("ours");
    assert_eq!(&theirs, ours);
    let _: &Arc<str> = &theirs.by;
}
