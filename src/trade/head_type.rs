//! The type of a head: what a spare must share with the head that it replaces.

/// Spellings that are one thread: `½" NPT`, `1/2 in. npt` and `NPT 1/2` come out alike; empty where nothing is written.
/// Sizes are compared as written, so `1/2` and `DN 15` stay apart.
#[must_use]
pub fn thread_key(text: &str) -> String {
    let mut sizes: Vec<String> = Vec::new();
    let mut names: Vec<String> = Vec::new();
    let mut pitched = false;
    for word in words(&spelled_out(text)) {
        match word {
            // Threads to the inch, written behind the size, follow from size and name: `1/2-14 NPT`.
            Word::Hyphen => pitched = sizes.last().is_some_and(|size| size.contains('/')),
            Word::Size(size) => {
                if !std::mem::take(&mut pitched) || size.contains('/') {
                    sizes.push(size);
                }
            }
            Word::Name(name) => {
                pitched = false;
                // A unit may be run into the name: `1/2inNPT`. No name of a thread begins with `in`.
                let mut name = name.as_str();
                while let Some(rest) = ["inches", "inch", "in"].iter().find_map(|unit| name.strip_prefix(unit)) {
                    name = rest;
                }
                if !name.is_empty() {
                    names.push(name.to_owned());
                }
            }
        }
    }
    sizes.append(&mut names);
    sizes.join(" ")
}

enum Word {
    Size(String),
    Name(String),
    Hyphen,
}

/// Small letters, and fractions of one sign in digits.
fn spelled_out(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '¼' => out.push_str(" 1/4"),
            '½' => out.push_str(" 1/2"),
            '¾' => out.push_str(" 3/4"),
            '⅛' => out.push_str(" 1/8"),
            '⅜' => out.push_str(" 3/8"),
            '⅝' => out.push_str(" 5/8"),
            '⅞' => out.push_str(" 7/8"),
            '⁄' | '∕' => out.push('/'),
            '‐' | '‑' | '–' | '—' => out.push('-'),
            c => out.extend(c.to_lowercase()),
        }
    }
    out
}

/// Runs of digits (with `/` and a point between digits), runs of letters, hyphens; everything else parts them.
fn words(text: &str) -> Vec<Word> {
    let mut found = Vec::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let run = |first: char, chars: &mut std::iter::Peekable<std::str::Chars<'_>>, takes: fn(char) -> bool| {
            let mut run = String::from(first);
            while let Some(c) = chars.next_if(|c| takes(*c)) {
                run.push(c);
            }
            run
        };
        if c.is_ascii_digit() {
            let size = run(c, &mut chars, |c| c.is_ascii_digit() || c == '/' || c == '.');
            found.push(Word::Size(size.trim_end_matches(['/', '.']).to_owned()));
        } else if c.is_alphabetic() {
            found.push(Word::Name(run(c, &mut chars, char::is_alphabetic)));
        } else if c == '-' {
            found.push(Word::Hyphen);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::thread_key;

    #[test]
    fn one_thread_has_many_spellings() {
        for text in [
            "1/2 NPT",
            "½ NPT",
            "½\" NPT",
            "1/2\u{2033} npt",
            " 1/2 in. NPT ",
            "1/2in NPT",
            "1/2inNPT",
            "1/2 inch NPT",
            "1⁄2 NPT",
            "NPT 1/2",
            "NPT ½",
            "1/2\"NPT",
            "1/2-NPT",
            "1/2-14 NPT",
            "½–14 NPT",
            "1/2 Npt.",
        ] {
            assert_eq!(thread_key(text), "1/2 npt", "{text}");
        }
        assert_eq!(thread_key("R 3/8"), thread_key("⅜ R"));
        assert_eq!(thread_key("1-1/4 NPT"), thread_key("1¼ in NPT"));
        assert_eq!(thread_key("M22x1.5"), thread_key("m 22 x 1.5"));
    }

    #[test]
    fn threads_that_do_not_fit_one_another_stay_apart() {
        let keys =
            ["1/2 NPT", "3/4 NPT", "1 NPT", "1/2 BSPT", "R 1/2", "3/8 R", "1/4 NPT", "1-1/4 NPT", "11/4 NPT", "1/2"];
        for (i, one) in keys.iter().enumerate() {
            for other in &keys[i + 1..] {
                assert_ne!(thread_key(one), thread_key(other), "{one} and {other}");
            }
        }
    }

    #[test]
    fn nothing_written_is_no_thread() {
        for text in ["", "  ", "\"", "in.", "-"] {
            assert_eq!(thread_key(text), "", "{text}");
        }
    }

    proptest::proptest! {
        #[test]
        fn a_key_is_its_own_key(text in "\\PC{0,24}") {
            let key = thread_key(&text);
            proptest::prop_assert_eq!(thread_key(&key), key);
        }
    }
}
