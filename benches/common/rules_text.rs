//! The text of a large sound rule set, for trials of speed.

use std::fmt::Write as _;

const PARTS: [&str; 8] = ["element", "seal", "deflector", "frame", "boss", "escutcheon", "cover-plate", "whole"];
const FIELDS: [(&str, &str, &str); 6] = [
    ("mount", "concealed", "exposed"),
    ("response", "standard", "quick"),
    ("element", "link", "bulb"),
    ("finish", "[wax, lead]", "chrome"),
    ("setting", "[salt, corrosive]", ""),
    ("orientation", "upright", "pendent"),
];

/// A set of about so many rules: ten a sign, each with two or three cases and texts of ordinary length.
pub fn large(rules: usize) -> String {
    let mut text = String::from(
        "format: headround rules 1\nname: large\ntitle: A large set\nedition: none\nextents:\n  - {extent: trace, name: trace, hint: a little}\n  - {extent: light, name: light, hint: thin}\n  - {extent: heavy, name: heavy, hint: thick}\n  - {extent: full, name: full, hint: all over}\nparts:\n",
    );
    for part in PARTS {
        writeln!(text, "  - {{part: {part}, name: {part}, hint: a part}}").unwrap();
    }
    text.push_str(
        "signs:\n  - {sign: unsure, name: unsure, hint: not judged, seen: doubt, parts: [whole], extents: [full]}\n",
    );
    let signs = rules.div_ceil(10).min(63);
    for sign in 0..signs {
        writeln!(text, "  - {{sign: sign-{sign}, name: sign {sign}, hint: a sign, parts: [{}], extents: [trace, light, heavy, full]}}", PARTS.join(", ")).unwrap();
    }
    text.push_str("rules:\n");
    rule(
        &mut text,
        "doubt",
        "{sign: unsure}",
        "",
        "look",
        None,
        &["{see: too far away, then: look}", "{see: a part, sign: sign-0, part: frame, extent: trace, instead: keep}"],
    );
    for sign in 0..signs {
        for (at, part) in PARTS.iter().enumerate() {
            // One part in four has its heavy extents replaced by the rules below.
            let ruling = if at % 2 == 1 { "keep" } else { "watch" };
            rule(
                &mut text,
                &format!("sign-{sign}-{part}"),
                &format!("{{sign: sign-{sign}, part: {part}}}"),
                "",
                ruling,
                (ruling != "keep").then_some("noncritical"),
                &[
                    &format!(
                        "{{see: a little of it on the {part} as one sees it from the floor, part: {part}, extent: trace, then: {ruling}}}"
                    ),
                    &format!(
                        "{{see: all over the {part} as one sees it from the floor, part: {part}, extent: light, then: {ruling}}}"
                    ),
                    &format!(
                        "{{see: the same on another part, part: {}, extent: trace, instead: {}}}",
                        PARTS[(at + 1) % 8],
                        if at % 2 == 1 { "watch" } else { "keep" }
                    ),
                ],
            );
        }
        let over: Vec<String> = PARTS.iter().map(|p| format!("sign-{sign}-{p}")).collect();
        rule(
            &mut text,
            &format!("sign-{sign}-much"),
            &format!("{{sign: sign-{sign}, extent: heavy..full}}"),
            &over.join(", "),
            "replace",
            Some("critical"),
            &[
                "{see: a thick crust, part: seal, extent: heavy, then: replace}",
                "{see: a thin film, part: seal, extent: trace, instead: keep}",
            ],
        );
        let (field, value, _) = FIELDS[sign % FIELDS.len()];
        let (other, second, plain) = FIELDS[(sign + 1) % FIELDS.len()];
        let unless = if plain.is_empty() { String::new() } else { format!(", {other}: {second}") };
        rule(
            &mut text,
            &format!("sign-{sign}-there"),
            &format!("{{sign: sign-{sign}, extent: heavy..full, {field}: {value}{unless}}}"),
            &format!("sign-{sign}-much"),
            "correct",
            Some("critical"),
            &[
                &format!(
                    "{{see: where it is so, part: seal, extent: heavy, {field}: {}{}, then: correct}}",
                    first(value),
                    if plain.is_empty() { String::new() } else { format!(", {other}: {}", first(second)) }
                ),
                "{see: where it is not, part: seal, extent: heavy, instead: replace}",
            ],
        );
    }
    text
}

fn first(value: &str) -> &str {
    value.trim_matches(['[', ']']).split(", ").next().unwrap()
}

fn rule(text: &mut String, id: &str, when: &str, over: &str, ruling: &str, class: Option<&str>, cases: &[&str]) {
    writeln!(text, "  - rule: {id}\n    title: What {id} looks for, in one line for people\n    when: {when}").unwrap();
    if !over.is_empty() {
        writeln!(text, "    over: [{over}]").unwrap();
    }
    writeln!(text, "    ruling: {ruling}").unwrap();
    if let Some(class) = class {
        writeln!(text, "    class: {class}").unwrap();
    }
    text.push_str("    clause: none\n    source: \"common practice, no source; class by its effect\"\n    confidence: practice\n    because: >-\n      A reason of ordinary length, as long as the reasons in the built-in sets are, so that reading takes as long\n      as it does there; it runs over two lines and a little more.\n    remedy: What to do about it, in a sentence or two of ordinary length.\n    never: What never to do.\n    cases:\n");
    for case in cases {
        writeln!(text, "      - {case}").unwrap();
    }
}
