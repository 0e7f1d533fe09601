//! Reads the rows on spares of a rule file, and their worked cases: a plain head with what it has otherwise, and a spare that is
//! like the head but for what is named.

use std::sync::Arc;

use super::duties::Where;
use super::facts::{Facts, Field, setting_bit};
use super::load::{MOST_COMPLAINTS, enough, position, section, word};
use super::load_ages::read_where;
use super::load_rows::{MOST_ROWS, Row, read_basis, word_span};
use super::spares::{Differs, FitVerdict, SpareCase, SpareField, SpareRow};
use crate::diag::tree::{Fields, Node};
use crate::diag::{Diagnostic, Source};
use crate::trade::kind::{Element, Finish, Kind, Mount, Orientation, Response, Style};
use crate::trade::quantity::{KFactor, Length, Temperature};
use crate::trade::register::Setting;
use crate::trade::words::unknown;

/// The word for something that is not known of a kind.
const NONE: &str = "none";

/// What of the surroundings a case may name, beside settings.
pub(crate) const SURROUNDINGS: [Field; 5] =
    [Field::Guard, Field::System, Field::Ceiling, Field::Recalled, Field::Mixture];

/// Puts a row where it is read: in the place of an inherited one of its word, else before all inherited ones, behind those of
/// its own file.
pub(crate) fn put_spare(
    inherited: &mut [Row<SpareRow>],
    own: &mut Vec<Row<SpareRow>>,
    row: Row<SpareRow>,
    out: &mut Vec<Diagnostic>,
) {
    if out.len() >= MOST_COMPLAINTS {
        return;
    }
    let full = inherited.len() + own.len() >= MOST_ROWS;
    match inherited.iter_mut().chain(own.iter_mut()).find(|r| r.it.id == row.it.id) {
        Some(known) if known.own => out.push(
            Diagnostic::error(
                "repeated-word",
                &row.source,
                row.span.clone(),
                format!("the row '{}' stands twice", row.it.id),
            )
            .and_at(known.span.clone(), "first here"),
        ),
        Some(known) => *known = row,
        None if full => out.push(Diagnostic::error(
            "too-many",
            &row.source,
            row.span.clone(),
            format!("a set holds at most {MOST_ROWS} rows of a kind"),
        )),
        None => own.push(row),
    }
}

pub(crate) fn read_spare(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<Row<SpareRow>> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "a row on spares", out);
    let id = f.need_parse("spare", out, word);
    let field = f.need_parse("field", out, SpareField::parse);
    let differs = f.parse("differs", out, |t| {
        let differs = Differs::parse(t)?;
        match field {
            Some(field) if !field.relations().contains(&differs) => {
                let known: Vec<&str> = field.relations().iter().map(|d| d.as_str()).collect();
                Err(format!("'{field}' never differs as '{differs}', but as {}", known.join(", ")))
            }
            _ => Ok(differs),
        }
    });
    let mut values = |key: &'static str, out: &mut Vec<Diagnostic>| {
        f.list(key, out, |t| {
            // Without a field nothing can be said of its values; that complaint is enough.
            let Some(field) = field else { return Ok("") };
            let words = field.words();
            if words.is_empty() {
                return Err(format!("values of '{field}' are not named; say how it differs, under 'differs'"));
            }
            words.iter().find(|w| **w == t).copied().ok_or_else(|| unknown(field.as_str(), t, &words))
        })
    };
    let from = values("from", out);
    let to = values("to", out);
    let when = read_heads(source, node, &mut f, out);
    let verdict = f.need_parse("verdict", out, |t| match FitVerdict::parse(t)? {
        FitVerdict::Same => Err("a row says 'may', 'ask' or 'never': where nothing differs no row is asked".to_owned()),
        verdict => Ok(verdict),
    });
    let because = f.need_text("because", out);
    let basis = read_basis(&mut f, out);
    let mut cases = Vec::new();
    let mut spans = Vec::new();
    for item in section(source, &mut f, "cases", out) {
        if enough(out) {
            break;
        }
        if let Some(case) = read_case(source, item, out) {
            cases.push(case);
            spans.push(item.span.clone());
        }
    }
    f.finish(out);
    if out.len() > complaints {
        return None;
    }
    Some(Row {
        it: SpareRow {
            id: id?,
            field: field?,
            differs,
            from,
            to,
            when,
            verdict: verdict?,
            because: because?,
            basis: basis?,
            cases,
        },
        source: Arc::clone(source),
        span: word_span(node),
        over: Vec::new(),
        cases: spans,
        own: true,
    })
}

fn read_heads(source: &Arc<Source>, node: &Node, f: &mut Fields<'_>, out: &mut Vec<Diagnostic>) -> Where {
    let (when, made) = read_where(source, f, out);
    if made.is_some() {
        let message = "a row on spares does not ask for years made";
        out.push(Diagnostic::error("made-of-spare", source, word_span(node), message).help("leave 'made' out"));
    }
    when
}

fn read_case(source: &Arc<Source>, node: &Node, out: &mut Vec<Diagnostic>) -> Option<SpareCase> {
    let complaints = out.len();
    let mut f = Fields::of(source, node, "a case", out);
    let see = f.need_text("see", out);
    let mut head = plain()?;
    let mut around = Facts::plain();
    if let Some(node) = f.take("head") {
        let mut h = Fields::of(source, node, "the head of a case", out);
        read_kind(&mut h, &mut head, out);
        read_around(&mut h, &mut around, out);
        h.finish(out);
    }
    let mut spare = head.clone();
    if let Some(node) = f.take("spare") {
        let mut s = Fields::of(source, node, "the spare of a case", out);
        read_kind(&mut s, &mut spare, out);
        s.finish(out);
    }
    let says = f.parse("says", out, FitVerdict::parse);
    let instead = f.parse("instead", out, FitVerdict::parse);
    f.finish(out);
    let (holds, says) = match (says, instead) {
        (Some(verdict), None) => (true, verdict),
        (None, Some(verdict)) => (false, verdict),
        _ if out.len() > complaints => return None,
        _ => {
            out.push(
                Diagnostic::error(
                    "case-without-end",
                    source,
                    node.span.clone(),
                    "a case says either 'says' (the row speaks) or 'instead' (it does not), with the set's verdict on the pair",
                )
                .help("add 'says: never', or 'instead: may' for a near miss"),
            );
            return None;
        }
    };
    if out.len() > complaints {
        return None;
    }
    let mut facts = Facts::of_kind(&head);
    for field in SURROUNDINGS {
        facts.set(field, around.get(field));
    }
    facts.add_settings(around.settings());
    Some(SpareCase { see: see?, head, facts, spare, holds, says })
}

/// The head that a case starts from: [`Facts::plain`] with the commonest rating, K-factor and thread. There always is one.
pub(crate) fn plain() -> Option<Kind> {
    Some(Kind {
        id: String::new(),
        orientation: Orientation::Pendent,
        mount: Mount::Exposed,
        response: Response::Quick,
        style: Style::Spray,
        element: Element::Bulb,
        rating: Temperature::from_fahrenheit(155.0)?,
        k: KFactor::parse("5.6").ok()?,
        finish: Finish::Chrome,
        made: None,
        number: None,
        dry: false,
        length: None,
        thread: Some("1/2 NPT".to_owned()),
        guard: false,
        wrench: None,
        note: None,
    })
}

fn read_kind(f: &mut Fields<'_>, kind: &mut Kind, out: &mut Vec<Diagnostic>) {
    put(&mut kind.orientation, f.parse("orientation", out, Orientation::parse));
    put(&mut kind.mount, f.parse("mount", out, Mount::parse));
    put(&mut kind.response, f.parse("response", out, Response::parse));
    put(&mut kind.style, f.parse("style", out, Style::parse));
    put(&mut kind.element, f.parse("element", out, Element::parse));
    put(&mut kind.rating, f.parse("rating", out, Temperature::parse));
    put(&mut kind.k, f.parse("k", out, KFactor::parse));
    put(&mut kind.finish, f.parse("finish", out, Finish::parse));
    put(&mut kind.dry, f.parse("dry", out, super::load::truth));
    let length = |t: &str| if t == NONE { Ok(None) } else { Length::parse(t).map(Some) };
    put(&mut kind.length, f.parse("length", out, length));
    put(&mut kind.thread, f.text("thread", out).map(|t| (t != NONE).then_some(t)));
}

fn put<T>(slot: &mut T, read: Option<T>) {
    if let Some(read) = read {
        *slot = read;
    }
}

fn read_around(f: &mut Fields<'_>, facts: &mut Facts, out: &mut Vec<Diagnostic>) {
    for field in SURROUNDINGS {
        let words = field.words();
        let of = |t: &str| position(&words, t).ok_or_else(|| unknown(field.as_str(), t, &words));
        if let Some(value) = f.parse(field.as_str(), out, of) {
            facts.set(field, value);
        }
    }
    for setting in f.list("setting", out, Setting::parse) {
        facts.add_settings(setting_bit(setting));
    }
}
