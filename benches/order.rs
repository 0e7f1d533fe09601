//! The order list of 5,000 sites: opening each file, its ledger, what the rule set asks for, its condemned heads, and all put
//! together. Sites of 100 heads and 200 entries each, on all processors.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::indexing_slicing, missing_docs)]

mod common;

use std::sync::Arc;
use std::time::Instant;

use headround::cli;
use headround::cli::surroundings::{Streams, Surroundings};
use headround::round::sample;
use headround::trade::address::AreaId;
use headround::trade::register::Cabinet;
use headround::tui::drive::TestClock;

const SITES: usize = 5_000;

fn main() {
    // `cargo test --benches` only wants to know that it runs.
    let sites = if std::env::args().any(|a| a == "--test") { 10 } else { SITES };
    let folder = tempfile::tempdir().expect("a folder");
    let mut register = sample::register(100, common::SEED);
    if register.cabinets.is_empty() {
        register.cabinets.push(Cabinet {
            id: AreaId::parse("riser").expect("a name"),
            name: "Valve room cabinet".to_owned(),
            place: None,
            serves: Vec::new(),
            keep: Vec::new(),
        });
    }
    let text = common::site_of(register, 200).text;
    let mut files = Vec::with_capacity(sites);
    for n in 0..sites {
        let path = folder.path().join(format!("{n:04}.site.yaml"));
        std::fs::write(&path, &text).expect("written");
        files.push(path);
    }
    let around = Surroundings {
        clock: Arc::new(TestClock::at("2026-11-25T09:00:00-05:00")),
        user: Some("Ines".into()),
        host: "quay".into(),
        pid: 1,
        data: None,
        rules: None,
        by: None,
        theme: None,
        no_color: false,
        term: None,
        in_is_terminal: false,
        out_is_terminal: false,
        err_is_terminal: false,
        columns: Some(120),
    };
    for form in ["table", "csv", "json"] {
        let mut arguments: Vec<std::ffi::OsString> =
            vec!["headround".into(), "order".into(), "--to".into(), form.into()];
        arguments.extend(files.iter().map(|p| p.clone().into_os_string()));
        let mut times = Vec::new();
        let mut written = 0;
        for _ in 0..3 {
            let (mut input, mut out, mut err) = (std::io::Cursor::new(Vec::new()), Vec::new(), Vec::new());
            let mut streams = Streams { input: &mut input, out: &mut out, err: &mut err };
            let begun = Instant::now();
            let code = cli::run(arguments.clone(), &around, &mut streams);
            times.push(begun.elapsed());
            assert_eq!(code, cli::FINE, "{}", String::from_utf8_lossy(&err));
            written = out.len();
        }
        times.sort();
        println!(
            "{sites} sites as {form}: {:.2} s (best of three {:.2} s), {} kB",
            times[1].as_secs_f64(),
            times[0].as_secs_f64(),
            written / 1000
        );
    }
}
