//! Reading the register's cabinets of spare heads.

use std::sync::Arc;

use super::address::AreaId;
use super::kind::Kind;
use super::register::{Area, Cabinet};
use super::register_text::map_items;
use crate::diag::tree::{self, Fields, Node};
use crate::diag::{Diagnostic, Source, nearest, plain};

/// The most spares of one kind that a posted list may name.
pub(super) const MAX_KEPT: u32 = 10_000;

/// Reads the cabinets. `kinds` are those that could be read and the names of those that could not, which are not complained
/// about again.
pub(super) fn read(
    source: &Arc<Source>,
    node: &Node,
    kinds: (&[Kind], &[String]),
    areas: &[Area],
    out: &mut Vec<Diagnostic>,
) -> Vec<Cabinet> {
    let mut cabinets = Vec::new();
    for (key, value) in map_items(source, node, "cabinets", out) {
        let Ok(id) = AreaId::parse(&key.text) else {
            let why = format!("'{}' cannot name a cabinet", plain(&key.text));
            let it = Diagnostic::error("bad-name", source, key.span.clone(), why);
            out.push(it.help("use 1 to 32 of a-z, 0-9 and '-', not starting with '-'"));
            continue;
        };
        let mut f = Fields::of(source, value, "a cabinet", out);
        let known: Vec<&str> = areas.iter().map(|a| a.id.as_str()).collect();
        if f.is_empty_list("serves") {
            let why = format!("cabinet '{id}' serves no area");
            let it = Diagnostic::error("serves-nothing", source, key.span.clone(), why);
            out.push(it.help("name areas under 'serves', or leave it out: then it serves all"));
        }
        let serves = f.list("serves", out, |text| {
            let id = AreaId::parse(text)?;
            if known.contains(&id.as_str()) {
                return Ok(id);
            }
            let near = nearest(id.as_str(), known.iter().copied());
            Err(format!("no area is called '{id}'{}", near.map_or(String::new(), |n| format!("; did you mean '{n}'?"))))
        });
        cabinets.push(Cabinet {
            name: f.text("name", out).unwrap_or_else(|| id.to_string()),
            place: f.text("place", out),
            serves,
            keep: f.take("keep").map(|n| read_keep(source, n, kinds, out)).unwrap_or_default(),
            id,
        });
        f.finish(out);
    }
    cabinets
}

fn read_keep(
    source: &Arc<Source>,
    node: &Node,
    (kinds, broken): (&[Kind], &[String]),
    out: &mut Vec<Diagnostic>,
) -> Vec<(String, u32)> {
    let mut keep = Vec::new();
    for (key, value) in map_items(source, node, "keep", out) {
        if !kinds.iter().any(|k| k.id == key.text) {
            if !broken.contains(&key.text) {
                let why = format!("no kind is called '{}'", plain(&key.text));
                let it = Diagnostic::error("unknown-kind", source, key.span.clone(), why);
                out.push(match nearest(&key.text, kinds.iter().map(|k| k.id.as_str())) {
                    Some(near) => it.help(format!("did you mean '{near}'?")),
                    None => it.help("a spare's kind stands under 'kinds' too, though no head of it is installed"),
                });
            }
            continue;
        }
        let count = tree::parse_node(source, value, &format!("keep: {}", key.text), out, |text| {
            let n = text.parse::<u32>().ok().filter(|n| *n <= MAX_KEPT);
            n.ok_or_else(|| format!("write a number of heads, 0 to {MAX_KEPT}"))
        });
        keep.extend(count.map(|n| (key.text.clone(), n)));
    }
    keep
}
