//! `order`: what is printed, the CSV as a general engine reads it, bad price files and bad sites.

use std::io::Write as _;
use std::process::{Command, Stdio};

use insta::assert_snapshot;

use crate::support::{HARBOUR, Place};

const PRICES: &str = "\
format: headround prices 1
currency: USD
prices:
  - {orientation: pendent, response: quick, rating: 155 F, k: 5.6, pack: 10, price: 234.50}
  - {orientation: upright, rating: 200 F, pack: 4, price: 99}
";

/// Two sites: one half walked with a cabinet counted, one without either.
fn place() -> Place {
    let place = Place::new();
    let cabinet = "cabinets:\n  riser: {name: Valve room cabinet, place: Valve room}\n";
    place.write("harbour.site.yaml", &format!("{HARBOUR}{cabinet}"));
    place.write(
        "=quay.site.yaml",
        &HARBOUR
            .replace("Harbour Office", "=HYPERLINK(A1)")
            .replace("01KAVQ5R8Z0000000000000000", "01KAVQ5R8Z0000000000000009"),
    );
    place.write("prices.yaml", PRICES);
    place.fine(&["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell"]);
    place.walk("s\np 1 t: white drops\nnext\ns\nleak seal heavy\ngo plant/1.1\np 1 t\n");
    place.fine(&["cabinet", "@harbour.site.yaml", "count", "riser", "qr-pendent=1", "int-upright=0"]);
    place
}

#[test]
fn what_to_buy_is_told_by_make_up_and_by_site() {
    assert_snapshot!(place().run(&["order", "@harbour.site.yaml", "@=quay.site.yaml", "--prices", "@prices.yaml"]));
}

#[test]
fn a_part_of_the_order_can_be_asked_for() {
    let place = place();
    assert_snapshot!(place.run(&["order", "@harbour.site.yaml", "--only", "condemned", "--strict"]));
    assert_snapshot!(place.run(&["order", "@harbour.site.yaml", "--only", "stock"]));
}

#[test]
fn the_json_shape_is_the_documented_one() {
    assert_snapshot!(place().run(&["order", "@harbour.site.yaml", "--prices", "@prices.yaml", "--json"]));
}

#[test]
fn the_csv_starts_no_formula_and_is_written_once() {
    let place = place();
    assert_snapshot!(place.run(&[
        "order",
        "@harbour.site.yaml",
        "@=quay.site.yaml",
        "--prices",
        "@prices.yaml",
        "--to",
        "csv"
    ]));
    place.fine(&["order", "@harbour.site.yaml", "--to", "csv", "--out", "@order.csv"]);
    let again = place.run(&["order", "@harbour.site.yaml", "--to", "csv", "--out", "@order.csv"]);
    assert_eq!(again.code, 2, "{again}");
    assert!(place.read("order.csv").starts_with("part,what,"));
}

#[test]
fn a_bad_site_is_told_and_left_out() {
    let place = place();
    place.write("broken.site.yaml", "format: headround site 1\nsite: [\n");
    let ran = place.run(&["order", "@broken.site.yaml", "@harbour.site.yaml"]);
    assert_eq!(ran.code, 2, "{ran}");
    assert!(ran.err.contains("broken.site.yaml") && ran.out.contains("Harbour Office"), "{ran}");
}

#[test]
fn a_site_is_ordered_for_once_however_many_of_its_files_are_named() {
    let place = place();
    place.write("copy.site.yaml", &place.read("harbour.site.yaml"));
    let one = place.fine(&["order", "@harbour.site.yaml", "--json"]);
    let ran = place.run(&["order", "@harbour.site.yaml", "@copy.site.yaml", "@harbour.site.yaml", "--json"]);
    assert_eq!((ran.code, &ran.out), (2, &one.out), "{ran}");
    assert_eq!(ran.err.matches("error[same-site]").count(), 2, "{ran}");
}

#[test]
fn that_no_site_could_be_read_is_not_that_nothing_is_to_be_bought() {
    let ran = place().run(&["order", "@nowhere.site.yaml"]);
    assert_eq!(ran.code, 2, "{ran}");
    assert!(ran.out.contains("No site could be read.") && !ran.out.contains("Nothing is to be bought"), "{ran}");
}

#[test]
fn what_a_price_file_notes_of_a_price_stands_below_the_order() {
    let place = place();
    place.write("prices.yaml", &PRICES.replace("pack: 10,", "pack: 10, note: two weeks,"));
    let ran = place.fine(&["order", "@harbour.site.yaml", "--prices", "@prices.yaml"]);
    assert!(ran.out.contains("\nNotes on prices\n- pendent") && ran.out.contains(": two weeks\n"), "{ran}");
}

#[test]
fn a_bad_price_file_is_told_with_its_lines_and_nothing_is_ordered() {
    let place = place();
    place.write(
        "prices.yaml",
        "format: headround prices 1\ncurrency: USD\nprices:\n  - {orientation: pendent, price: 12.345}\n  - {number: MQ1, price: 3}\n  - {number: mq1, price: 4}\n  - {number: MQ2, price: 4, currency: EUR}\n",
    );
    assert_snapshot!(place.run(&["order", "@harbour.site.yaml", "--prices", "@prices.yaml", "--diagnostics", "short"]));
}

/// Adds up a CSV in DuckDB and prints the sums by make-up as JSON.
const SCRIPT: &str = r#"
import sys, json, duckdb
rows = duckdb.sql(f"""
    select what, sum(condemned)::int, sum(from_cabinet)::int, sum(to_fill)::int, sum(to_buy)::int,
           ceil(sum(to_buy) / any_value(pack))::int, any_value(price)::decimal(18, 2)::varchar
    from read_csv('{sys.argv[1]}', header = true) group by what order by what
""").fetchall()
json.dump(rows, sys.stdout)
"#;

#[test]
fn a_general_engine_reads_the_same_sums_from_the_csv() {
    if std::env::var_os("HEADROUND_WITHOUT_PYTHON").is_some_and(|v| v == "1") {
        println!("left out, as HEADROUND_WITHOUT_PYTHON=1 asks");
        return;
    }
    let place = place();
    let files = ["@harbour.site.yaml", "@=quay.site.yaml", "--prices", "@prices.yaml"];
    place.fine(&[&["order"], &files[..], &["--to", "csv", "--out", "@order.csv"]].concat());
    let mut child = Command::new("python3")
        .args(["-", place.path("order.csv").to_str().unwrap()])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("python3 starts");
    child.stdin.take().unwrap().write_all(SCRIPT.as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    let needed = "this test needs Python 3 with DuckDB: `pip install duckdb`, or set HEADROUND_WITHOUT_PYTHON=1";
    assert!(out.status.success(), "{needed}\n{}", String::from_utf8_lossy(&out.stderr));
    let read: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let order = place.fine(&[&["order"], &files[..], &["--json"]].concat()).json();
    let mut lines: Vec<serde_json::Value> = order["lines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|l| {
            let cost = &l["cost"];
            serde_json::json!([
                l["what"],
                l["condemned"],
                l["from_cabinet"],
                l["to_fill"],
                l["to_buy"],
                cost["packs"],
                cost["price"]
            ])
        })
        .collect();
    lines.sort_by_key(|l| l[0].as_str().unwrap().to_owned());
    assert!(lines.len() >= 2, "{lines:?}");
    assert_eq!(read, serde_json::Value::Array(lines));
}

#[test]
fn csv_and_json_at_once_are_refused() {
    let ran = place().run(&["order", "@harbour.site.yaml", "--to", "csv", "--json"]);
    assert_eq!(ran.code, 2, "{ran}");
    assert!(ran.err.contains("bad-option"), "{ran}");
}
