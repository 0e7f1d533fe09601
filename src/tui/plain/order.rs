//! One typed line as an order. It reads words and records nothing; what it does not understand it says so that the next
//! line can be right.

use super::cabinet::Doing;
use super::lots;
use crate::diag::{nearest, plain};
use crate::round::act::Reach;
use crate::round::entry::{Applied, Deed, How, UnreachedWhy, UnsureWhy, Way};
use crate::rules::model::{RuleSet, Sign, SignIx};

/// What a typed line asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Order {
    /// Say again where one stands.
    Here,
    /// List what can be typed.
    Help,
    /// The head was seen in order; go on.
    Seen,
    /// A sign was seen.
    Saw(Box<Seeing>),
    /// Go on to the next head.
    Next(Want),
    /// Go back one head.
    Back,
    /// Go to a head, or to a number of the last list.
    Go(String),
    /// List the areas.
    Areas,
    /// Go to an area.
    Area(String),
    /// Record the rest as seen.
    Sweep(Sweep),
    /// The same on so many more heads.
    Like(usize),
    /// A note.
    Note(String),
    /// It could not be judged.
    Unsure(UnsureWhy, Option<String>),
    /// It was not reached.
    Unreached(UnreachedWhy, Span, Option<String>),
    /// The findings of earlier rounds are still there.
    Still,
    /// They are gone.
    Gone,
    /// Something was done.
    Did(Deed, Option<String>),
    /// What is asked for and held, or what lies in a cabinet.
    Cabinet(String),
    /// Count a cabinet.
    CountCabinet(String),
    /// Something is done at a cabinet.
    AtCabinet(Doing),
    /// Something is done with lots, or at the bench.
    AtLots(lots::Doing),
    /// The spares that could take the head's place, or the head replaced by one of them.
    Replace(String),
    /// Take back.
    Undo,
    /// Bring back.
    Redo,
    /// Why the head is ruled as it is.
    Why,
    /// What other editions say of it.
    Editions,
    /// The cases of the rules behind it.
    Cases,
    /// What has no answer yet.
    Left,
    /// Count.
    Count,
    /// List signs, parts and extents, or tell one sign in full.
    Signs(Option<SignIx>),
    /// Find heads by kind, sign or note.
    Find(String),
    /// Begin a round: inspector and licence.
    Begin(String, String),
    /// Do what was asked about.
    Yes,
    /// Leave it.
    No,
    /// Leave the walk.
    Quit,
}

/// How far a sweep goes, from where one stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sweep {
    /// The line one stands on.
    Line,
    /// The area.
    Area,
}

impl Sweep {
    /// With the line's number.
    #[must_use]
    pub const fn on(self, line: u16) -> Reach {
        match self {
            Self::Line => Reach::Line(line),
            Self::Area => Reach::Area,
        }
    }
}

/// Which next head.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Want {
    /// Any.
    Any,
    /// Without an answer.
    Open,
    /// With a ruling that asks for something.
    Ruled,
    /// That needs a close look.
    Look,
}

/// Which heads were not reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Span {
    /// This one.
    Here,
    /// Those of the line without an answer.
    Line,
    /// Those of the area without an answer.
    Area,
}

/// A sign as it was typed, in the rule set's words.
#[derive(Clone, Debug, PartialEq)]
pub struct Seeing {
    /// What.
    pub sign: String,
    /// Where.
    pub part: String,
    /// How much.
    pub extent: String,
    /// Who applied the finish, where the sign asks.
    pub applied: Option<Applied>,
    /// Whether that was typed, and not assumed.
    pub applied_said: bool,
    /// How it was looked at.
    pub how: How,
    /// In doubt.
    pub doubtful: bool,
    /// Free text.
    pub note: Option<String>,
}

/// Every word that can be typed: the words, what follows them, what it does.
pub const WORDS: &[(&[&str], &str, &str)] = &[
    (&["here"], "", "say again where you stand; an empty line does too"),
    (&["s", "seen"], "", "seen, nothing found; go on to the next head"),
    (
        &["SIGN"],
        "PART EXTENT [: note]",
        "a sign was seen, as in 'p1t', 'p 1 t' or 'paint element trace: fresh'; 'signs' lists them",
    ),
    (&["k", "like"], "NUMBER", "the same on so many heads after this one"),
    (&["a", "still"], "", "the finding of an earlier round is still there"),
    (&["z", "gone"], "", "the finding of an earlier round is gone"),
    (&["v", "unsure"], "REASON [: note]", "it could not be judged: too-far, light, hidden, dirty, behind-plate, other"),
    (
        &["x", "unreached"],
        "REASON [line|area] [: who or why]",
        "not reached: locked, occupied, process, height, hazard, clean-room, concealed, refused, other",
    ),
    (&["did"], "replaced|cleaned|corrected [KIND]", "what was done to the head"),
    (&["n", "note"], "TEXT", "a note on the head"),
    (&["w", "sweep"], "line|area", "record the rest of the line or area as seen, after a question"),
    (&["next"], "[open|ruled|look]", "the next head; without an answer, ruled, or to be looked at closely"),
    (&["back"], "", "the head before"),
    (&["j", "go"], "PLACE or NUMBER", "go to a head, as in 'go 3.7' or 'go pack/3.7', or to one of the last list"),
    (&["areas"], "", "list the areas"),
    (&["area"], "NAME or NUMBER", "go to an area"),
    (&["find"], "TEXT", "list heads by kind, sign or note"),
    (&["why"], "", "the rules behind the ruling"),
    (&["editions"], "", "what other editions say under those rules"),
    (&["cases"], "", "the cases of those rules, with what they look like"),
    (&["left"], "", "what has no answer yet"),
    (&["count"], "", "how far the round has come"),
    (&["cabinet"], "[NAME]", "spares asked for and held; of a cabinet what lies in it and what is wrong with it"),
    (
        &["count"],
        "CABINET [KIND=NUMBER[/UNFIT] ...] [: note]",
        "count a cabinet, as in 'count riser qr-pendent=6/1'; without numbers each kind is asked for",
    ),
    (&["put"], "CABINET NUMBER KIND [: note]", "spares put into a cabinet"),
    (&["take"], "CABINET NUMBER KIND [: note]", "spares taken out; 'replace' records a head's own"),
    (&["discard"], "CABINET NUMBER KIND [: note]", "spares thrown away; unfit ones first"),
    (&["look"], "CABINET [WORD=...] [: note]", "what is seen of a cabinet itself; 'look' and its name lists the words"),
    (&["post"], "CABINET [KIND=NUMBER ...]", "a list was posted; without numbers one is proposed"),
    (&["new-cabinet"], "NAME FULL NAME[, WHERE]", "a cabinet that the register does not hold"),
    (
        &["replace"],
        "[NUMBER [: who allowed it]]",
        "the spares that fit the head; with a number, it was replaced by that one",
    ),
    (&["due"], "[SPAN]", "what falls due by age, as in 'due 5 years'"),
    (&["lots"], "", "the lots, and what comes next with each"),
    (&["lot"], "LOT", "one lot: its sample, what the bench showed, what it means"),
    (
        &["form"],
        "[NUMBER] [within SPAN], or NAME HEADS: FULL NAME",
        "the ways to form lots of what is due; with a number, form them; or one lot of heads that are named",
    ),
    (&["draw"], "LOT [SEED] [unseen], or LOT HEADS: why", "draw a sample by chance; with heads, by hand"),
    (&["hand"], "LOT STEP [from NAME] [to NAME] [: note]", "the sample was packed, handed-over, received or scrapped"),
    (
        &["tested"],
        "TAG WORD=... [: note]",
        "a head at the bench, as in 'tested hall-1 oven=135C air=2.54m/s start=20C element=39 clear=40'; conditions left out are \
         those of the test before",
    ),
    (&["conclude"], "LOT passed|failed DATE BY [: note]", "a laboratory's result for the whole lot"),
    (
        &["signs"],
        "[SIGN]",
        "list signs with their letters, parts with their digits, and extents; of one sign, what each of them means",
    ),
    (&["u", "undo"], "", "take back your last entry"),
    (&["y", "redo"], "", "bring it back"),
    (&["begin"], "FULL NAME[, LICENCE]", "begin a round"),
    (&["?", "help"], "", "this list"),
    (&["q", "quit"], "", "leave; nothing is ever unsaved"),
];

/// Reads a line.
///
/// # Errors
/// A sentence that says what is missing or not understood.
pub fn read(line: &str, set: &RuleSet) -> Result<Order, String> {
    let line = line.trim();
    let (word, rest) = line.split_once(char::is_whitespace).map_or((line, ""), |(w, r)| (w, r.trim()));
    let lower = word.to_lowercase();
    let bare = rest.is_empty();
    Ok(match lower.as_str() {
        "" | "here" => Order::Here,
        "?" | "help" => Order::Help,
        "s" | "seen" if bare => Order::Seen,
        "k" | "like" => Order::Like(number(rest).ok_or("on how many heads? write 'like 12'")?),
        "a" | "still" if bare => Order::Still,
        "z" | "gone" if bare => Order::Gone,
        "v" | "unsure" => {
            let (why, note) = reason(rest);
            Order::Unsure(UnsureWhy::parse(&why)?, note)
        }
        "x" | "unreached" => unreached(rest)?,
        "did" => {
            let (what, kind) = rest.split_once(char::is_whitespace).map_or((rest, None), |(w, k)| (w, Some(k.trim())));
            Order::Did(Deed::parse(what)?, kind.filter(|k| !k.is_empty()).map(str::to_owned))
        }
        "n" | "note" if bare => return Err("write the text behind it, as in 'note roof hatch open'".to_owned()),
        "n" | "note" => Order::Note(rest.to_owned()),
        "w" | "sweep" => Order::Sweep(match rest {
            "line" => Sweep::Line,
            "area" => Sweep::Area,
            _ => return Err("how far? write 'sweep line' or 'sweep area'".to_owned()),
        }),
        "next" => Order::Next(match rest {
            "" => Want::Any,
            "open" => Want::Open,
            "ruled" => Want::Ruled,
            "look" => Want::Look,
            _ => return Err("write 'next', 'next open', 'next ruled' or 'next look'".to_owned()),
        }),
        "back" => Order::Back,
        "j" | "go" if bare => {
            return Err("where to? write 'go 3.7', 'go pack/3.7' or a number of the last list".to_owned());
        }
        "j" | "go" => Order::Go(rest.to_owned()),
        "areas" => Order::Areas,
        "area" if bare => Order::Areas,
        "area" => Order::Area(rest.to_owned()),
        "find" if bare => return Err("find what? write a kind, a sign or a word of a note".to_owned()),
        "find" => Order::Find(rest.to_owned()),
        "why" => Order::Why,
        "editions" if bare => Order::Editions,
        "cases" if bare => Order::Cases,
        "left" => Order::Left,
        "count" if bare => Order::Count,
        "count" => Order::CountCabinet(rest.to_owned()),
        "cabinet" => Order::Cabinet(rest.to_owned()),
        "put" => Order::AtCabinet(Doing::Move(Way::PutIn, rest.to_owned())),
        "take" => Order::AtCabinet(Doing::Move(Way::TakenOut, rest.to_owned())),
        "discard" => Order::AtCabinet(Doing::Move(Way::Discarded, rest.to_owned())),
        "look" => Order::AtCabinet(Doing::Look(rest.to_owned())),
        "post" => Order::AtCabinet(Doing::Post(rest.to_owned())),
        "new-cabinet" => Order::AtCabinet(Doing::New(rest.to_owned())),
        "due" => Order::AtLots(lots::Doing::Due(rest.to_owned())),
        "lots" if bare => Order::AtLots(lots::Doing::Show(String::new())),
        "lot" => Order::AtLots(lots::Doing::Show(rest.to_owned())),
        "form" => Order::AtLots(lots::Doing::Form(rest.to_owned())),
        "draw" => Order::AtLots(lots::Doing::Draw(rest.to_owned())),
        "hand" => Order::AtLots(lots::Doing::Hand(rest.to_owned())),
        "tested" => Order::AtLots(lots::Doing::Tested(rest.to_owned())),
        "conclude" => Order::AtLots(lots::Doing::Conclude(rest.to_owned())),
        "replace" => Order::Replace(rest.to_owned()),
        "signs" if bare => Order::Signs(None),
        "signs" => Order::Signs(Some(sign_named(rest, set)?.0)),
        "u" | "undo" => Order::Undo,
        "y" | "redo" => Order::Redo,
        "yes" => Order::Yes,
        "no" => Order::No,
        "begin" => {
            let (name, licence) = rest.split_once(',').unwrap_or((rest, ""));
            if name.trim().is_empty() {
                return Err("who inspects? write 'begin FULL NAME, LICENCE'".to_owned());
            }
            Order::Begin(name.trim().to_owned(), licence.trim().to_owned())
        }
        "q" | "quit" => Order::Quit,
        _ if bare && is_address(line) => Order::Go(line.to_owned()),
        _ => Order::Saw(Box::new(seeing(line, set)?)),
    })
}

/// Whether a word reads as `3.7` or `pack/3.7`.
fn is_address(word: &str) -> bool {
    let place = word.rsplit_once('/').map_or(word, |(_, place)| place);
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    place.split_once('.').is_some_and(|(line, place)| digits(line) && digits(place))
}

fn number(text: &str) -> Option<usize> {
    text.parse().ok().filter(|n| (1..=10_000).contains(n))
}

/// Whether a word is a sign's letter and a part's digit, in either order, perhaps with an extent's letter behind them.
fn is_struck(word: &str) -> bool {
    let mut kinds = word.chars().map(|c| {
        if c.is_ascii_digit() {
            'd'
        } else if c.is_ascii_lowercase() {
            'l'
        } else {
            '?'
        }
    });
    let kinds: [Option<char>; 4] = std::array::from_fn(|_| kinds.next());
    matches!(kinds, [Some('l'), Some('d'), None | Some('l'), None] | [Some('d'), Some('l'), None | Some('l'), None])
}

/// A reason and, behind ':', a note.
fn reason(text: &str) -> (String, Option<String>) {
    let (why, note) = text.split_once(':').unwrap_or((text, ""));
    (why.trim().to_owned(), Some(note.trim().to_owned()).filter(|n| !n.is_empty()))
}

fn unreached(text: &str) -> Result<Order, String> {
    let (words, note) = reason(text);
    let mut words = words.split_whitespace();
    let why = UnreachedWhy::parse(words.next().unwrap_or_default())?;
    let span = match words.next() {
        None => Span::Here,
        Some("line") => Span::Line,
        Some("area") => Span::Area,
        Some(other) => return Err(format!("'{}' is no reach; write 'line' or 'area', or nothing", plain(other))),
    };
    if why == UnreachedWhy::Other && note.is_none() {
        return Err("say why behind ':', as in 'unreached other: floor wet'".to_owned());
    }
    Ok(Order::Unreached(why, span, note))
}

fn seeing(line: &str, set: &RuleSet) -> Result<Seeing, String> {
    let (words, note) = line.split_once(':').unwrap_or((line, ""));
    let mut list: Vec<String> = words.split_whitespace().map(str::to_lowercase).collect();
    // The keys of the walk, struck without blanks: 'p1t' or '1pt'.
    if let Some(first) = list.first().filter(|f| is_struck(f)) {
        let keys: Vec<String> = first.chars().map(String::from).collect();
        list.splice(0..1, keys);
    }
    // The part's digit may stand before the sign.
    if let [digit, sign, ..] = list.as_mut_slice()
        && digit.parse::<u8>().is_ok()
    {
        std::mem::swap(digit, sign);
    }
    let mut words = list.into_iter();
    let first = words.next().unwrap_or_default();
    let sign = by_word_or_letter(&first, set)?;
    let mut out = Seeing {
        sign: sign.id.clone(),
        part: String::new(),
        extent: String::new(),
        applied: None,
        applied_said: false,
        how: How::Eye,
        doubtful: false,
        note: Some(note.trim().to_owned()).filter(|n| !n.is_empty()),
    };
    let mut typed = false;
    for word in words {
        typed = true;
        if let Some(part) = part(&word, sign, set) {
            out.part = part;
        } else if let Some(extent) = extent(&word, sign, set) {
            out.extent = extent;
        } else if let Ok(applied) = Applied::parse(&word) {
            out.applied = Some(applied);
            out.applied_said = true;
        } else if let Ok(how) = How::parse(&word) {
            out.how = how;
        } else if word == "doubtful" {
            out.doubtful = true;
        } else {
            return Err(format!(
                "'{}' is no part, extent or way of looking for {}; {}",
                plain(&word),
                sign.name,
                wants(sign, set)
            ));
        }
    }
    let only = |list: &[String]| match list {
        [one] => one.clone(),
        _ => String::new(),
    };
    let letter_alone = !typed && first.chars().count() == 1;
    if out.part.is_empty() {
        out.part = only(&parts(sign, set).into_iter().map(|(_, id)| id).collect::<Vec<_>>());
    }
    if out.extent.is_empty() {
        out.extent = only(&extents(sign, set));
    }
    if out.part.is_empty() || out.extent.is_empty() {
        return Err(wants(sign, set));
    }
    // One accidental letter never writes.
    if letter_alone {
        return Err(format!("for {}, write '{}' in full, or a part or extent behind the letter", sign.name, sign.id));
    }
    if sign.ask_applied && out.applied.is_none() {
        out.applied = Some(Applied::Field);
    }
    Ok(out)
}

fn is_named(sign: &Sign, word: &str) -> bool {
    sign.id == word || sign.key.is_some_and(|k| word.chars().eq([k]))
}

/// The sign that is asked about.
fn sign_named<'a>(word: &str, set: &'a RuleSet) -> Result<(SignIx, &'a Sign), String> {
    let word = word.to_lowercase();
    set.eye_signs().find(|(_, s)| is_named(s, &word)).ok_or_else(|| {
        let shown: String = plain(&word).chars().take(40).collect();
        match nearest(&word, set.eye_signs().map(|(_, s)| s.id.as_str())) {
            Some(near) => format!("'{shown}' is no sign; did you mean '{near}'?"),
            None => format!("'{shown}' is no sign; 'signs' lists them"),
        }
    })
}

fn by_word_or_letter<'a>(word: &str, set: &'a RuleSet) -> Result<&'a Sign, String> {
    let found = set.eye_signs().map(|(_, s)| s).find(|s| is_named(s, word));
    found.ok_or_else(|| {
        let shown: String = plain(word).chars().take(40).collect();
        let words = WORDS.iter().flat_map(|(w, _, _)| w.iter().copied());
        let known = set.eye_signs().map(|(_, s)| s.id.as_str()).chain(words).filter(|w| w.len() > 2);
        match nearest(word, known).filter(|_| word.len() > 2) {
            Some(near) => format!("'{shown}' is nothing that can be typed here; did you mean '{near}'?"),
            None => format!("'{shown}' is nothing that can be typed here; 'help' lists what is"),
        }
    })
}

/// The sign's parts: the digit, the word.
#[must_use]
pub fn parts(sign: &Sign, set: &RuleSet) -> Vec<(usize, String)> {
    sign.parts.iter().filter_map(|p| Some((usize::from(p.0) + 1, set.part_at(*p)?.id.clone()))).collect()
}

/// The sign's extents.
#[must_use]
pub fn extents(sign: &Sign, set: &RuleSet) -> Vec<String> {
    sign.extents.iter().filter_map(|e| Some(set.extent_at(*e)?.id.clone())).collect()
}

/// What each of the sign's extents means for it, in their order: the sign's own words, else what the extent always means.
#[must_use]
pub fn extent_hints<'a>(sign: &'a Sign, set: &'a RuleSet) -> Vec<&'a str> {
    let own = |n: usize| sign.extent_hints.get(n).map(String::as_str).filter(|h| !h.is_empty());
    let words = sign.extents.iter().enumerate().filter_map(|(n, e)| Some((n, set.extent_at(*e)?)));
    words.map(|(n, word)| own(n).unwrap_or(&word.hint)).collect()
}

/// An extent with what it means: `trace (a touch of it)`.
#[must_use]
pub fn with_hint(extent: &str, hint: &str) -> String {
    if hint.is_empty() { extent.to_owned() } else { format!("{extent} ({hint})") }
}

fn part(word: &str, sign: &Sign, set: &RuleSet) -> Option<String> {
    parts(sign, set).into_iter().find(|(digit, id)| id == word || digit.to_string() == word).map(|(_, id)| id)
}

fn extent(word: &str, sign: &Sign, set: &RuleSet) -> Option<String> {
    let first = |id: &str| word.chars().count() == 1 && id.starts_with(word);
    extents(sign, set).into_iter().find(|id| id == word || first(id))
}

/// What a sign still wants, in one sentence.
fn wants(sign: &Sign, set: &RuleSet) -> String {
    let list = parts(sign, set).iter().map(|(digit, id)| format!("{digit} {id}")).collect::<Vec<_>>().join(", ");
    let much = extents(sign, set)
        .iter()
        .zip(extent_hints(sign, set))
        .map(|(id, hint)| format!("{} {}", id.chars().take(1).collect::<String>(), with_hint(id, hint)))
        .collect::<Vec<_>>()
        .join(", ");
    format!("{}: write the part ({list}) and how much: {much}", sign.name)
}
