//! The register as YAML: reading it with every complaint at its place, and writing it in the block style people edit.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use super::address::AreaId;
use super::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use super::quantity::{KFactor, Length, PartialDate, Temperature, Units};
use super::register::{Area, KindIx, Line, Occupancy, Recall, Register, Run, Setting, Site, System};
use super::register_cabinets;
use crate::diag::tree::{self, Fields, Limits, Node, Value};
use crate::diag::{Diagnostic, Severity, Source, nearest};

/// The format line of a site file.
pub const FORMAT: &str = "headround site 1";

/// The most heads one register may hold.
pub const MAX_HEADS: usize = 2_000_000;

/// The most places one register may number: those of heads and gaps.
pub const MAX_PLACES: usize = 2 * MAX_HEADS;

/// The word in a line for a numbered place without a head.
pub const GAP: &str = "gap";

/// Reads a register. It comes back whenever it can be used; a complaint of weight `Error` says that it cannot be
/// trusted for writing.
///
/// # Errors
/// Every complaint found, each with its place.
pub fn read(source: &Arc<Source>) -> (Option<Register>, Vec<Diagnostic>) {
    let mut out = Vec::new();
    let node = match tree::read(source, Limits::REGISTER) {
        Ok(node) => node,
        Err(it) => return (None, vec![*it]),
    };
    if matches!(node.value, Value::Null) {
        out.push(
            Diagnostic::error("empty-file", source, 0..0, "the file holds no register")
                .help("start one with 'headround new', or restore the file from a copy"),
        );
        return (None, out);
    }
    let mut top = Fields::of(source, &node, "the register", &mut out);
    if let Some(format) = top.need_text("format", &mut out)
        && format != FORMAT
    {
        out.push(format_complaint(source, &node, &format));
        return (None, out);
    }
    let site = top.need("site", &mut out).and_then(|n| read_site(source, n, &mut out));
    let (kinds, broken) = top.need("kinds", &mut out).map(|n| read_kinds(source, n, &mut out)).unwrap_or_default();
    let areas =
        top.need("areas", &mut out).map(|n| read_areas(source, n, &kinds, &broken, &mut out)).unwrap_or_default();
    let served = |out: &mut Vec<Diagnostic>, n| register_cabinets::read(source, n, (&kinds, &broken), &areas, out);
    let cabinets = top.take("cabinets").map(|n| served(&mut out, n)).unwrap_or_default();
    let recalled = top.take("recalled").map(|n| read_recalls(source, n, &mut out)).unwrap_or_default();
    top.finish(&mut out);
    let register = site.map(|site| Register { site, kinds, areas, cabinets, recalled });
    if let Some(why) = register.as_ref().and_then(too_large) {
        out.push(
            Diagnostic::error("too-large", source, 0..0, why)
                .help("look for a wrong count, or split the site into several files"),
        );
        return (None, out);
    }
    let usable = !out.iter().any(|d| d.severity == Severity::Error);
    (register.filter(|_| usable), out)
}

/// Why a register is larger than any building, if it is; a few bytes of text can claim any number of heads.
#[must_use]
pub fn too_large(register: &Register) -> Option<String> {
    if register.head_count() > MAX_HEADS {
        return Some(format!("the register holds more than {MAX_HEADS} heads"));
    }
    let places: usize = register.areas.iter().map(Area::place_count).sum();
    (places > MAX_PLACES).then(|| format!("the register numbers more than {MAX_PLACES} places, gaps among them"))
}

fn format_complaint(source: &Arc<Source>, node: &Node, format: &str) -> Diagnostic {
    let span = match &node.value {
        Value::Map(items) => items.iter().find(|(k, _)| k.text == "format").map(|(_, v)| v.span.clone()),
        _ => None,
    }
    .unwrap_or(0..0);
    let newer = format.strip_prefix("headround site ").and_then(|n| n.parse::<u32>().ok()).is_some_and(|n| n > 1);
    if newer {
        Diagnostic::error(
            "newer-format",
            source,
            span,
            format!("this file is written in '{}', which is newer than this program", crate::diag::plain(format)),
        )
        .help("open it with a newer headround; nothing was changed")
    } else {
        Diagnostic::error(
            "unknown-format",
            source,
            span,
            format!("'{}' is not the format of a site file", crate::diag::plain(format)),
        )
        .help(format!("a site file starts with 'format: {FORMAT}'"))
    }
}

fn read_site(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Site> {
    let mut f = Fields::of(source, node, "the site", out);
    let id = f.need_text("id", out);
    let name = f.need_text("name", out);
    let place = f.text("where", out).unwrap_or_default();
    let owner = f.text("owner", out);
    let rules = f.need_text("rules", out);
    let units = f.parse("units", out, Units::parse).unwrap_or_default();
    let tell = f.list("tell", out, |t| Ok(t.to_owned()));
    let dry_restored = f.text("dry_restored", out);
    f.finish(out);
    Some(Site { id: id?, name: name?, place, owner, rules: rules?, units, tell, dry_restored })
}

pub(super) fn map_items<'a>(
    source: &Arc<Source>,
    node: &'a Node,
    what: &str,
    out: &mut Vec<Diagnostic>,
) -> &'a [(tree::Key, Node)] {
    match &node.value {
        Value::Map(items) => items,
        Value::Null => &[],
        _ => {
            out.push(Diagnostic::error(
                "wrong-type",
                source,
                node.span.clone(),
                format!("'{what}' must be a mapping, not {}", node.what()),
            ));
            &[]
        }
    }
}

/// The kinds, and the names of those that were complained about: lines that use them are not complained about again.
fn read_kinds(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> (Vec<Kind>, Vec<String>) {
    let mut kinds = Vec::new();
    let mut broken = Vec::new();
    for (key, value) in map_items(source, node, "kinds", out) {
        if AreaId::parse(&key.text).is_err() || key.text == GAP {
            out.push(
                Diagnostic::error(
                    "bad-name",
                    source,
                    key.span.clone(),
                    format!("'{}' cannot name a kind", crate::diag::plain(&key.text)),
                )
                .help(format!("use 1 to 32 of a-z, 0-9 and '-', not starting with '-', and not '{GAP}'")),
            );
            continue;
        }
        if kinds.len() >= usize::from(u16::MAX) {
            out.push(Diagnostic::error("too-large", source, key.span.clone(), "a register holds at most 65535 kinds"));
            break;
        }
        match read_kind(source, &key.text, value, out) {
            Some(kind) => kinds.push(kind),
            None => broken.push(key.text.clone()),
        }
    }
    (kinds, broken)
}

/// Reads one kind from its fields; also used for kinds added in the field.
pub fn read_kind(source: &Arc<Source>, id: &str, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Kind> {
    let mut f = Fields::of(source, node, "a kind", out);
    let orientation = f.need_parse("orientation", out, Orientation::parse);
    let response = f.need_parse("response", out, Response::parse);
    let element = f.need_parse("element", out, Element::parse);
    let rating = f.need_parse("rating", out, Temperature::parse);
    let k = f.need_parse("k", out, KFactor::parse);
    let kind = Kind {
        id: id.to_owned(),
        mount: f.parse("mount", out, Mount::parse).unwrap_or(Mount::Exposed),
        style: f.parse("style", out, Style::parse).unwrap_or(Style::Spray),
        finish: f.parse("finish", out, Finish::parse).unwrap_or(Finish::Brass),
        made: f.parse("made", out, known(PartialDate::parse)).flatten(),
        number: f.text("number", out),
        dry: f.parse("dry", out, boolean).unwrap_or(false),
        length: f.parse("length", out, Length::parse),
        thread: f.text("thread", out),
        guard: f.parse("guard", out, boolean).unwrap_or(false),
        wrench: f.text("wrench", out),
        note: f.text("note", out),
        orientation: Orientation::Pendent,
        response: Response::Standard,
        element: Element::Bulb,
        rating: rating?,
        k: k?,
    };
    f.finish(out);
    Some(Kind { orientation: orientation?, response: response?, element: element?, ..kind })
}

/// Lets a field say `unknown`.
fn known<T>(parse: impl Fn(&str) -> Result<T, String>) -> impl Fn(&str) -> Result<Option<T>, String> {
    move |text| if text == "unknown" { Ok(None) } else { parse(text).map(Some) }
}

pub(super) fn boolean(text: &str) -> Result<bool, String> {
    match text {
        "true" | "yes" => Ok(true),
        "false" | "no" => Ok(false),
        other => Err(super::words::unknown("yes or no", other, &["yes", "no"])),
    }
}

fn read_areas(
    source: &Arc<Source>,
    node: &Node,
    kinds: &[Kind],
    broken: &[String],
    out: &mut Vec<Diagnostic>,
) -> Vec<Area> {
    let mut areas = Vec::new();
    for (key, value) in map_items(source, node, "areas", out) {
        let id = match AreaId::parse(&key.text) {
            Ok(id) => id,
            Err(why) => {
                out.push(Diagnostic::error("bad-name", source, key.span.clone(), why));
                continue;
            }
        };
        let mut f = Fields::of(source, value, "an area", out);
        let area = Area {
            name: f.text("name", out).unwrap_or_else(|| id.to_string()),
            id,
            system: f.parse("system", out, System::parse).unwrap_or(System::Wet),
            in_service: f.parse("in_service", out, known(PartialDate::parse)).flatten(),
            setting: f.list("setting", out, Setting::parse),
            ceiling_max: f.parse("ceiling_max", out, Temperature::parse),
            height: f.parse("height", out, Length::parse),
            hazard: f.parse("hazard", out, Occupancy::parse),
            compartment: f.text("compartment", out),
            note: f.text("note", out),
            lines: f.need("lines", out).map(|n| read_lines(source, n, kinds, broken, out)).unwrap_or_default(),
        };
        f.finish(out);
        areas.push(area);
    }
    areas
}

fn read_lines(
    source: &Arc<Source>,
    node: &Node,
    kinds: &[Kind],
    broken: &[String],
    out: &mut Vec<Diagnostic>,
) -> Vec<Line> {
    let items = match &node.value {
        Value::List(items) => items.as_slice(),
        Value::Null => &[],
        _ => {
            out.push(Diagnostic::error(
                "wrong-type",
                source,
                node.span.clone(),
                format!("'lines' must be a list, one branch line an item, not {}", node.what()),
            ));
            &[]
        }
    };
    if items.len() > usize::from(u16::MAX) - 1 {
        out.push(Diagnostic::error("too-large", source, node.span.clone(), "an area holds at most 65534 lines"));
        return Vec::new();
    }
    let mut lines = Vec::new();
    for item in items {
        let text = match &item.value {
            Value::Text { text, .. } => text.as_str(),
            Value::Null => "",
            _ => {
                out.push(
                    Diagnostic::error("wrong-type", source, item.span.clone(), "a line is written as text")
                        .help("write it as '4 qr-pendent, 1 int-upright'"),
                );
                continue;
            }
        };
        // Where the scalar is plain its characters stand in the file one for one, so a mistake can be pointed at.
        let exact = source.text.get(item.span.start..).is_some_and(|t| t.starts_with(text));
        let at = |range: Range<usize>| {
            if exact { item.span.start + range.start..item.span.start + range.end } else { item.span.clone() }
        };
        match parse_line(text, |id| kinds.iter().position(|k| k.id == id)) {
            Ok(line) => lines.push(line),
            Err((range, why)) => {
                let mut it = Diagnostic::error("bad-line", source, at(range.clone()), why);
                let word = text.get(range).unwrap_or_default();
                if broken.iter().any(|b| b == word) {
                    continue;
                }
                if let Some(near) = nearest(word, kinds.iter().map(|k| k.id.as_str())) {
                    it = it.help(format!("did you mean '{near}'?"));
                }
                out.push(it);
                lines.push(Line::default());
            }
        }
    }
    lines
}

/// Reads `4 qr-pendent, 1 int-upright @11, 2 gap`: a count and a kind, separated by commas; `gap` leaves numbered
/// places without a head; `@N` gives the number of the run's first place where it does not follow the one before.
///
/// # Errors
/// The byte range in `text` and a sentence.
pub fn parse_line(text: &str, kind_named: impl Fn(&str) -> Option<usize>) -> Result<Line, (Range<usize>, String)> {
    let mut line = Line::default();
    // First and last place of every run so far, which never overlap.
    let mut taken: BTreeMap<u32, u32> = BTreeMap::new();
    let mut next: u32 = 1;
    let mut offset = 0;
    if text.trim().is_empty() {
        return Ok(line);
    }
    for part in text.split(',') {
        let start = offset + (part.len() - part.trim_start().len());
        offset += part.len() + 1;
        let item = part.trim();
        let whole = start..start + item.len();
        let mut words = item.split_whitespace();
        let (count, name, rest) = (words.next(), words.next(), words.next());
        let usage = "a line is written as '4 qr-pendent, 1 int-upright'";
        let count = count
            .and_then(|c| c.parse::<u16>().ok())
            .filter(|c| (1..=10_000).contains(c))
            .ok_or_else(|| (whole.clone(), format!("a count from 1 to 10000 is wanted here; {usage}")))?;
        let name = name.ok_or_else(|| (whole.clone(), format!("a kind is wanted after the count; {usage}")))?;
        let from = match rest {
            None => next,
            Some(at) => at
                .strip_prefix('@')
                .and_then(|n| n.parse::<u16>().ok())
                .filter(|n| *n > 0)
                .map(u32::from)
                .ok_or_else(|| (whole.clone(), "after the kind only '@' and a place number may stand".to_owned()))?,
        };
        if words.next().is_some() {
            return Err((whole, format!("a comma is missing; {usage}")));
        }
        let kind = if name == GAP {
            None
        } else {
            let name_at = start + item.find(name).unwrap_or(0);
            let ix = kind_named(name).and_then(|i| u16::try_from(i).ok()).ok_or_else(|| {
                let shown: String = crate::diag::plain(name).chars().take(40).collect();
                (name_at..name_at + name.len(), format!("no kind is called '{shown}'"))
            })?;
            Some(KindIx(ix))
        };
        let last = from + u32::from(count) - 1;
        if last > 20_000 {
            return Err((whole, "a line holds at most 20000 places".to_owned()));
        }
        if let Some((first, end)) = taken.range(..=last).next_back()
            && *end >= from
        {
            return Err((whole, format!("place {} stands on this line already", from.max(*first))));
        }
        taken.insert(from, last);
        next = last + 1;
        line.runs.push(Run { count, kind, from: u16::try_from(from).unwrap_or(u16::MAX) });
    }
    Ok(line)
}

fn read_recalls(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Vec<Recall> {
    let items = match &node.value {
        Value::List(items) => items.as_slice(),
        _ => {
            out.push(Diagnostic::error(
                "wrong-type",
                source,
                node.span.clone(),
                format!("'recalled' must be a list, not {}", node.what()),
            ));
            &[]
        }
    };
    items.iter().filter_map(|item| read_recall(source, item, out)).collect()
}

/// Reads one recalled identification number: `{number: …, made: 1998..2001, why: …}`.
pub fn read_recall(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Recall> {
    let mut f = Fields::of(source, node, "a recalled number", out);
    let number = f.need_text("number", out);
    let made = f.parse("made", out, parse_years);
    let why = f.need_text("why", out);
    f.finish(out);
    Some(Recall { number: number?, made, why: why? })
}

fn parse_years(text: &str) -> Result<(i32, i32), String> {
    let bad = || "write one year or a range of years, as '1998..2001'".to_owned();
    let year = |t: &str| t.trim().parse::<i32>().ok().filter(|y| (1870..=2200).contains(y)).ok_or_else(bad);
    let (from, to) = match text.split_once("..") {
        Some((a, b)) => (year(a)?, year(b)?),
        None => (year(text)?, year(text)?),
    };
    if from <= to { Ok((from, to)) } else { Err(bad()) }
}
