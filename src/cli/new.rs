//! `headround new`: makes a site file, from options or by asking. The register it makes is read back by the same reader
//! as any other before it is written.

use std::path::PathBuf;
use std::sync::Arc;

use clap::{Args, ValueHint};

use super::rules::USUAL;
use super::session::{Done, Failure, Outcome, Session, many};
use crate::diag::{Diagnostic, Severity, Source, nearest, plain, tree};
use crate::record::rule_offers::Offers;
use crate::record::{export, rule_files};
use crate::round::entry::Id;
use crate::round::sample;
use crate::rules::model::RuleSet;
use crate::trade::address::AreaId;
use crate::trade::kind::Kind;
use crate::trade::quantity::{PartialDate, Temperature, Units};
use crate::trade::register::{Area, Register, Setting, Site, System};
use crate::trade::{register_text, register_write};

/// Where the dice of invented sites start: the same size gives the same heads.
const SEED: u64 = 1;

/// Arguments.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  headround new harbour.site.yaml
  headround new harbour.site.yaml --name 'Harbour Office' --where '2 Quay Street' \\
    --kind 'qr=orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6' \\
    --area 'hall=Entrance hall (wet, since 2009-05, damp): 4 qr; 10 qr'
  headround new trial.site.yaml --name Trial --size 5000

Without options you are asked on a terminal. A file that is there is never overwritten. Kinds take the fields of the \
site file. An area's lines are separated by ';', one branch line each as one looks up at the ceiling; in brackets may \
stand its system, settings, 'since' with the month its heads went into service, and 'ceiling' with the highest \
temperature expected there.")]
pub struct New {
    /// The file to make, such as harbour.site.yaml
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,

    /// The site's name
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,

    /// Where it is
    #[arg(long = "where", value_name = "ADDRESS")]
    pub place: Option<String>,

    /// The rule set it is inspected by; otherwise nfpa25-2023, or the one you choose when asked
    #[arg(long, value_name = "NAME")]
    pub rules: Option<String>,

    /// The units quantities are shown in: us or metric
    #[arg(long, value_name = "UNITS", value_parser = Units::parse, default_value = "us")]
    pub units: Units,

    /// A kind of head: 'ID=field: value, …'; may be given several times
    #[arg(long, value_name = "KIND")]
    pub kind: Vec<String>,

    /// An area: 'ID=Name: 4 KIND; 10 KIND'; may be given several times
    #[arg(long, value_name = "AREA")]
    pub area: Vec<String>,

    /// Invent kinds and areas with so many heads, for trials
    #[arg(long, value_name = "HEADS", value_parser = clap::value_parser!(u32).range(1..=2_000_000), conflicts_with_all = ["kind", "area"])]
    pub size: Option<u32>,
}

/// Makes a site file.
pub fn run(it: &New, session: &mut Session<'_, '_>) -> Done {
    let rules_folder = session.rules_folder();
    let given = match &it.rules {
        Some(name) => Some(rule_files::load(name, &it.file, rules_folder.as_deref())?),
        None => None,
    };
    let asks = it.name.is_none() && session.can_ask();
    let name = session.need(it.name.as_deref(), "--name", "What is the site called?")?;
    let place = match &it.place {
        Some(place) => place.trim().to_owned(),
        None if asks => session.ask("Where is it? (Enter to leave it out)")?.unwrap_or_default().trim().to_owned(),
        None => String::new(),
    };
    let offers = Offers::new(Some(&it.file), rules_folder.as_deref());
    let (rules, set) = match (&it.rules, given) {
        (Some(name), Some(set)) => (name.clone(), set),
        _ if asks => ask_for_rules(&offers, session)?,
        _ => (USUAL.to_owned(), offers.load(USUAL)?),
    };
    let clock = session.clock();
    let millis = u64::try_from(clock.now().timestamp_millis()).unwrap_or(0);
    let site = Site {
        id: Id::after(None, millis, clock.random()).to_string(),
        name,
        place,
        owner: None,
        rules,
        units: it.units,
        tell: Vec::new(),
        dry_restored: None,
    };
    let mut register =
        Register { site, kinds: Vec::new(), areas: Vec::new(), cabinets: Vec::new(), recalled: Vec::new() };
    if let Some(size) = it.size {
        let invented = sample::register(usize::try_from(size).unwrap_or(usize::MAX), SEED);
        register = Register { site: register.site, ..invented };
    } else {
        let mut troubles = Vec::new();
        for text in &it.kind {
            match kind(text, &register) {
                Ok(kind) => register.kinds.push(kind),
                Err(list) => troubles.extend(list),
            }
        }
        for text in &it.area {
            match area(text, &register) {
                Ok(area) => register.areas.push(area),
                Err(it) => troubles.push(*it),
            }
        }
        if !troubles.is_empty() {
            return Err(troubles.into());
        }
        if asks && it.kind.is_empty() && it.area.is_empty() {
            ask_for_heads(&mut register, session)?;
        }
    }
    let text = register_write::write(&register);
    let (back, troubles) = register_text::read(&Source::new(it.file.display().to_string(), text.as_str()));
    if back.as_ref() != Some(&register) {
        return Err(Failure::Told(troubles));
    }
    export::new_site(&it.file, &text)?;
    let file = it.file.display().to_string();
    let heads = register.head_count();
    if session.global.json {
        session.say_json(&serde_json::json!({
            "file": file,
            "site": register.site.name,
            "id": register.site.id,
            "rules": register.site.rules,
            "kinds": register.kinds.len(),
            "areas": register.areas.len(),
            "heads": heads,
        }))?;
    } else {
        session.say(&format!(
            "Made {file}: {}, inspected by {} ({}); {}, {}, {}.",
            register.site.name,
            register.site.rules,
            set.edition,
            many(register.kinds.len(), "kind"),
            many(register.areas.len(), "area"),
            many(heads, "head"),
        ))?;
        if register.areas.is_empty() {
            session.say("It has no areas yet: write them into the file, or add them on the walk.")?;
        }
        session.say(&format!("Begin a round with: headround begin {file}"))?;
    }
    Ok(Outcome::Fine)
}

/// Lists the rule sets and asks for one until there is one; an empty line, and the end of the input, mean the first.
fn ask_for_rules(offers: &Offers, session: &mut Session<'_, '_>) -> Result<(String, Arc<RuleSet>), Failure> {
    session.say("By which rule set is it inspected?")?;
    for (at, offer) in offers.list().iter().enumerate() {
        let about = match (offer.sound, offer.built_in) {
            (false, _) => "cannot be used as it stands".to_owned(),
            (true, true) => offer.title.clone(),
            (true, false) => format!("{}; follows {} (your own)", offer.title, offer.edition),
        };
        session.say(&format!("  {}. {}: {about}", at + 1, offer.name))?;
    }
    loop {
        let answer = session.ask("Number or name (Enter for the first):")?.unwrap_or_default();
        match chosen(answer.trim(), offers) {
            Ok(chosen) => return Ok(chosen),
            Err(list) => session.tell(&list)?,
        }
    }
}

fn chosen(answer: &str, offers: &Offers) -> Result<(String, Arc<RuleSet>), Vec<Diagnostic>> {
    let list = offers.list();
    let at = if answer.is_empty() { Some(0) } else { answer.parse::<usize>().ok().and_then(|n| n.checked_sub(1)) };
    let offer = list.iter().find(|o| o.name == answer).or_else(|| at.and_then(|at| list.get(at)));
    let Some(offer) = offer else {
        let shown: String = plain(answer).chars().take(60).collect();
        let it =
            Diagnostic::about(Severity::Error, "unknown-rules", "--rules", format!("'{shown}' is not in the list"));
        let near = nearest(answer, list.iter().map(|o| o.name.as_str()));
        return Err(vec![it.help(match near {
            Some(near) => format!("did you mean '{near}'?"),
            None => format!("write a number from 1 to {}, or a name of the list", list.len()),
        })]);
    };
    Ok((offer.name.clone(), offers.load(&offer.name)?))
}

fn ask_for_heads(register: &mut Register, session: &mut Session<'_, '_>) -> Result<(), Failure> {
    session.say("Kinds of head, one a line; an empty line ends the list. For example:")?;
    session
        .say("  qr-pendent=orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, made: 2009")?;
    while let Some(answer) = session.ask("Kind:")?.filter(|a| !a.trim().is_empty()) {
        match kind(&answer, register) {
            Ok(kind) => register.kinds.push(kind),
            Err(list) => session.tell(&list)?,
        }
    }
    if register.kinds.is_empty() {
        return Ok(());
    }
    session.say("Areas, one a line; an empty line ends the list. For example:")?;
    session.say("  hall=Entrance hall (wet, since 2009-05): 4 qr-pendent; 10 qr-pendent")?;
    while let Some(answer) = session.ask("Area:")?.filter(|a| !a.trim().is_empty()) {
        match area(&answer, register) {
            Ok(area) => register.areas.push(area),
            Err(it) => session.tell(&[*it])?,
        }
    }
    Ok(())
}

fn split_id<'a>(text: &'a str, option: &str, example: &str) -> Result<(&'a str, &'a str), Box<Diagnostic>> {
    let bad = |message: String| {
        Box::new(Diagnostic::about(Severity::Error, "bad-option", option, message).help(format!("write '{example}'")))
    };
    let (id, rest) = text
        .split_once('=')
        .ok_or_else(|| bad(format!("'{}' has no '='", plain(text).chars().take(60).collect::<String>())))?;
    AreaId::parse(id.trim()).map_err(bad)?;
    Ok((id.trim(), rest.trim()))
}

/// Reads `qr-pendent=orientation: pendent, …`, with or without braces around the fields.
fn kind(text: &str, register: &Register) -> Result<Kind, Vec<Diagnostic>> {
    let (id, fields) =
        split_id(text, "--kind", "ID=orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6")
            .map_err(|it| vec![*it])?;
    if register.kind_named(id).is_some() || id == register_text::GAP {
        let message = format!("'{id}' cannot name a kind: the name is taken");
        return Err(vec![Diagnostic::about(Severity::Error, "bad-option", "--kind", message)]);
    }
    let braced = if fields.starts_with('{') { fields.to_owned() } else { format!("{{{fields}}}") };
    let source = Source::new(format!("--kind {id}"), braced);
    let node = tree::read(&source, tree::Limits::SMALL).map_err(|it| vec![*it])?;
    let mut troubles = Vec::new();
    let kind = register_text::read_kind(&source, id, &node, &mut troubles);
    match kind {
        Some(kind) if troubles.is_empty() => Ok(kind),
        _ => Err(troubles),
    }
}

/// Reads `hall=Entrance hall (wet, since 2009-05, damp): 4 qr-pendent; 10 qr-pendent`.
fn area(text: &str, register: &Register) -> Result<Area, Box<Diagnostic>> {
    let example = "ID=Name (wet, since 2009-05): 4 KIND; 10 KIND";
    let (id, rest) = split_id(text, "--area", example)?;
    let bad =
        |message: String| Box::new(Diagnostic::about(Severity::Error, "bad-option", format!("--area {id}"), message));
    if register.area_named(id).is_some() {
        return Err(bad("an area of that name stands there already".to_owned()));
    }
    let (head, lines) = rest.split_once(':').ok_or_else(|| {
        Box::new(bad("there is no ':' before the lines".to_owned()).help(format!("write '{example}'")))
    })?;
    let (name, traits) = match head.trim().strip_suffix(')').and_then(|h| h.split_once('(')) {
        Some((name, traits)) => (name.trim(), traits),
        None => (head.trim(), ""),
    };
    let mut area = Area {
        id: AreaId::parse(id).map_err(&bad)?,
        name: if name.is_empty() { id.to_owned() } else { name.to_owned() },
        system: System::Wet,
        in_service: None,
        setting: Vec::new(),
        ceiling_max: None,
        height: None,
        hazard: None,
        compartment: None,
        note: None,
        lines: Vec::new(),
    };
    for word in traits.split(',').map(str::trim).filter(|w| !w.is_empty()) {
        if let Some(date) = word.strip_prefix("since ") {
            area.in_service = Some(PartialDate::parse(date.trim()).map_err(&bad)?);
        } else if let Some(temperature) = word.strip_prefix("ceiling ") {
            area.ceiling_max = Some(Temperature::parse(temperature.trim()).map_err(&bad)?);
        } else if let Ok(system) = System::parse(word) {
            area.system = system;
        } else {
            area.setting.push(Setting::parse(word).map_err(&bad)?);
        }
    }
    for line in lines.split(';') {
        let named = |name: &str| register.kinds.iter().position(|k| k.id == name);
        area.lines.push(register_text::parse_line(line.trim(), named).map_err(|(_, why)| bad(why))?);
    }
    Ok(area)
}
