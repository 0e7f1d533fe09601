//! The form that makes a site file: who and where, the adopted rules, a first kind of head, a first area.

use std::path::PathBuf;

use super::form::{Form, Row, Rows};
use super::kind_form;
use crate::record::rule_offers::Offer;
use crate::trade::address::AreaId;
use crate::trade::quantity::{Temperature, Units};
use crate::trade::register::{Area, Register, Setting, Site, System};
use crate::trade::register_text::parse_line;
use crate::tui::screen::{Effect, Screen, View};

/// The form that makes a site file.
pub struct NewSite;

impl NewSite {
    /// The form, empty but for what is common.
    #[must_use]
    pub fn boxed(view: &View<'_>) -> Box<dyn Screen> {
        let mut rows = vec![
            Row::text("name", "Site", "", "its name").needed().under("The site"),
            Row::text("where", "Where", "", "its address"),
            Row::text("path", "File", "", "where the site file goes; its name ends in .site.yaml").checked(good_path),
            rules_row(view),
            Row::one("units", "Units", vec!["us", "metric"], 0, "in which figures are shown"),
            Row::text("tell", "Tell first", "", "whom to tell of an impairment, separated by commas"),
        ];
        let mut kind = kind_form::rows("qr-pendent");
        if let Some(first) = kind.first_mut() {
            first.heading = Some("The first kind of head");
        }
        rows.append(&mut kind);
        rows.append(&mut area_rows());
        Box::new(
            Form::new("new site", "A new site file", rows, "Make the file", Box::new(then))
                .intro(vec!["More kinds and areas can be added in the walk, or in the file by hand.".to_owned()])
                .live(live),
        )
    }
}

/// The rule sets there are, each with its title and edition; one that cannot be used is not taken.
fn rules_row(view: &View<'_>) -> Row {
    let about = |offer: &Offer| match (offer.sound, offer.built_in) {
        (false, _) => "cannot be used as it stands: 'headround rules check' on its file says why".to_owned(),
        (true, built_in) => {
            let from = if built_in { "built in" } else { "your own" };
            format!("{}; follows {} ({from})", offer.title, offer.edition)
        }
    };
    let names = view.offers.list().iter().map(|o| (o.name.clone(), about(o))).collect();
    Row::named("rules", "Rules", names).checked(|name, view| {
        let sound = view.offers.list().iter().any(|o| o.name == name && o.sound);
        if sound { Ok(()) } else { Err("This rule set cannot be used as it stands; choose another".to_owned()) }
    })
}

/// The rows that describe an area; the lines grow as they are filled.
pub(super) fn area_rows() -> Vec<Row> {
    let systems = System::ALL.iter().map(|s| s.as_str()).collect();
    let settings = Setting::ALL.iter().map(|s| s.as_str()).collect();
    vec![
        Row::text("area", "Area", "", "its name in addresses: a-z, 0-9 and '-', as pack")
            .checked(|t, _| {
                if t.is_empty() { Err("A short name is wanted here".to_owned()) } else { AreaId::parse(t).map(|_| ()) }
            })
            .under("The area"),
        Row::text("area-name", "Full name", "", "for people, as Packing hall").needed(),
        Row::one("system", "System", systems, 0, "what feeds it"),
        Row::any("setting", "Setting", settings, "what its surroundings do to heads: arrows, Space for on and off"),
        Row::text("ceiling-max", "Hottest", "", "the highest temperature expected at the ceiling, as 100 F or 38 C")
            .checked(|t, _| if t.is_empty() { Ok(()) } else { Temperature::parse(t).map(|_| ()) }),
        line_row(1),
    ]
}

const LINE_HINT: &str =
    "a branch line as one looks up, left to right: 4 qr-pendent, 1 int-upright; empty ends the list";

fn line_row(number: usize) -> Row {
    Row::text(format!("line-{number}"), format!("Line {number}"), "", LINE_HINT)
}

/// Keeps one empty line row at the end; whether one was added comes back.
pub(super) fn grow(rows: &mut Rows) -> bool {
    let numbered = |r: &Row| r.key.starts_with("line-");
    let count = rows.0.iter().filter(|r| numbered(r)).count();
    let last = rows.get(&format!("line-{count}"));
    if !last.is_empty() && count < 500 {
        rows.0.push(line_row(count + 1));
        return true;
    }
    false
}

/// What stands in the line rows, empty ones at the end left out.
pub(super) fn lines_of(rows: &Rows) -> Vec<String> {
    let mut lines: Vec<String> =
        rows.0.iter().filter(|r| r.key.starts_with("line-")).map(|r| rows.get(&r.key)).collect();
    while lines.last().is_some_and(String::is_empty) {
        lines.pop();
    }
    lines
}

/// The settings chosen in the rows.
pub(super) fn settings_of(rows: &Rows) -> Vec<Setting> {
    rows.get("setting").split(", ").filter_map(|w| Setting::parse(w).ok()).collect()
}

/// The file's name follows the site's until somebody types one; the lines know the kind by its name.
fn live(rows: &mut Rows, key: &str, _: &View<'_>) {
    if key == "name" {
        let path = format!("{}.site.yaml", slug(&rows.get("name")));
        if let Some(row) = rows.row("path") {
            *row = Row::text("path", "File", &path, "where the site file goes; its name ends in .site.yaml")
                .checked(good_path);
        }
    }
    grow(rows);
    let kind = rows.get("kind");
    for n in 1.. {
        let typed = rows.get(&format!("line-{n}"));
        let wrong = parse_line(&typed, |name| (name == kind).then_some(0)).err().map(|(_, why)| why);
        let Some(row) = rows.row(&format!("line-{n}")) else { break };
        // A count alone is on its way to being a line.
        row.complain(wrong.filter(|_| typed.contains(' ')));
    }
}

/// Letters and digits in lower case, everything else a hyphen.
fn slug(name: &str) -> String {
    let mut slug = String::new();
    for c in name.chars() {
        if c.is_ascii_alphanumeric() {
            slug.push(c.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    let slug = slug.trim_end_matches('-');
    if slug.is_empty() { "site".to_owned() } else { slug.to_owned() }
}

fn good_path(path: &str, _: &View<'_>) -> Result<(), String> {
    if path.ends_with(".site.yaml") && path.len() > ".site.yaml".len() {
        Ok(())
    } else {
        Err("The file's name ends in .site.yaml, as quay.site.yaml".to_owned())
    }
}

fn then(rows: &Rows, _: &View<'_>) -> Vec<Effect> {
    match register(rows) {
        Ok(register) => vec![Effect::Create { path: PathBuf::from(rows.get("path")), register: Box::new(register) }],
        Err(why) => vec![Effect::Warn(why)],
    }
}

/// The register that the rows describe.
fn register(rows: &Rows) -> Result<Register, String> {
    let kind = kind_form::read(rows)?;
    let named = |name: &str| (name == kind.id).then_some(0);
    let mut lines = Vec::new();
    for (n, text) in lines_of(rows).iter().enumerate() {
        lines.push(parse_line(text, named).map_err(|(_, why)| format!("Line {}: {why}", n + 1))?);
    }
    let area = Area {
        id: AreaId::parse(&rows.get("area"))?,
        name: rows.get("area-name"),
        system: System::parse(&rows.get("system"))?,
        in_service: None,
        setting: settings_of(rows),
        ceiling_max: rows.some("ceiling-max").map(|t| Temperature::parse(&t)).transpose()?,
        height: None,
        hazard: None,
        compartment: None,
        note: None,
        lines,
    };
    let site = Site {
        id: String::new(),
        name: rows.get("name"),
        place: rows.get("where"),
        owner: None,
        rules: rows.get("rules"),
        units: Units::parse(&rows.get("units"))?,
        dry_restored: None,
        tell: rows.get("tell").split(',').map(|t| t.trim().to_owned()).filter(|t| !t.is_empty()).collect(),
    };
    Ok(Register { site, kinds: vec![kind], areas: vec![area], cabinets: Vec::new(), recalled: Vec::new() })
}
