//! A script of entries: what people recorded, in a few words each, with times and ids that are the same at every run.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, Duration, FixedOffset};
use headround::record::digest;
use headround::record::disk::Real;
use headround::record::journal::{self, Journal, Mode};
use headround::record::lock::Holder;
use headround::round::entry::{
    Added, Begin, Channel, Checked, Concluded, Counted, Custody, Deed, Did, Drawn, DrawnBy, Entry, Gone, How, Id,
    Moved, NewLot, Note, Notice, Pick, Posted, Readings, Saw, Signoff, Step, Tested, Unreached, UnreachedWhy, Unsure,
    UnsureWhy, Way, What,
};
use headround::round::sample::Dice;
use headround::trade::address::{Address, AreaId, Heads};
use headround::trade::kind::Kind;
use headround::trade::quantity::PartialDate;

pub struct Script {
    dice: Dice,
    now: DateTime<FixedOffset>,
    by: Arc<str>,
    round: Arc<str>,
    last: Option<Id>,
    after: Option<Id>,
    entries: Vec<Entry>,
    /// Comments and the entry each stands before.
    comments: Vec<(usize, String)>,
}

fn heads(text: &str) -> Heads {
    Heads::parse(text).expect(text)
}

fn cabinet(id: &str) -> AreaId {
    AreaId::parse(id).expect(id)
}

/// `6 qr-pendent, 2 int-upright`.
fn spares(text: &str) -> BTreeMap<String, u32> {
    let parts = text.split(", ").filter(|p| !p.is_empty());
    parts
        .map(|part| {
            let (n, kind) = part.split_once(' ').expect(part);
            (kind.to_owned(), n.parse().expect(part))
        })
        .collect()
}

impl Script {
    pub fn new(seed: u64) -> Self {
        Self {
            dice: Dice::new(seed),
            now: DateTime::default(),
            by: Arc::from(""),
            round: Arc::from(""),
            last: None,
            after: None,
            entries: Vec::new(),
            comments: Vec::new(),
        }
    }

    /// From here on `by` writes in a round, and it is that moment.
    pub fn round(&mut self, name: &str, by: &str, at: &str) {
        self.round = Arc::from(name);
        self.by = Arc::from(by);
        self.after = None;
        self.at(at);
    }

    pub fn by(&mut self, by: &str) {
        self.by = Arc::from(by);
    }

    pub fn at(&mut self, at: &str) {
        let at = DateTime::parse_from_rfc3339(at).expect(at);
        assert!(at >= self.now, "{at} is before what was recorded last");
        self.now = at;
    }

    /// A line of comment before the next entry.
    pub fn comment(&mut self, text: &str) {
        self.comments.push((self.entries.len(), format!("# {text}\n")));
    }

    pub fn say(&mut self, what: What) -> Id {
        // A line of heads takes a while to look at.
        let lines = match &what {
            What::Seen(heads) if heads.one().is_none() => usize::from(heads.lines().1 - heads.lines().0) + 1,
            _ => 0,
        };
        let seconds = self.dice.between(4, 40) + lines * self.dice.between(25, 50);
        self.now += Duration::seconds(i64::try_from(seconds).unwrap());
        let millis = u64::try_from(self.now.timestamp_millis()).unwrap() + self.dice.bits() % 1000;
        let chance = u128::from(self.dice.bits()) << 16 | u128::from(self.dice.bits() & 0xffff);
        let id = Id::after(self.last, millis, chance);
        self.last = Some(id);
        let mut entry =
            Entry { id, at: self.now, by: Arc::clone(&self.by), round: Arc::clone(&self.round), what, marks: None };
        if self.after.is_some() {
            entry.mark(|m| m.after = self.after);
        }
        self.entries.push(entry);
        id
    }

    pub fn begin(&mut self, inspector: &str, licence: &str, scope: &str) {
        self.say(What::Begin(Box::new(Begin {
            date: self.now.date_naive(),
            inspector: inspector.into(),
            licence: licence.into(),
            purpose: "annual inspection".into(),
            scope: scope.into(),
            rules: Some("nfpa25-2023".into()),
        })));
    }

    /// One `seen` entry for each address form in the list.
    pub fn seen(&mut self, list: &str) {
        for text in list.split_whitespace() {
            self.say(What::Seen(heads(text)));
        }
    }

    /// `HEADS SIGN PART EXTENT`, and whatever else is to be said of it.
    pub fn saw(&mut self, words: &str, more: impl FnOnce(&mut Saw)) -> Id {
        let [head, sign, part, extent] = words.split(' ').collect::<Vec<_>>()[..] else { panic!("{words}") };
        let mut saw = Saw {
            head: heads(head),
            sign: sign.into(),
            part: part.into(),
            extent: extent.into(),
            applied: None,
            how: How::Eye,
            doubtful: false,
            clearance: None,
            of: None,
            note: None,
        };
        more(&mut saw);
        self.say(What::Saw(Box::new(saw)))
    }

    pub fn unsure(&mut self, head: &str, why: UnsureWhy, how: How, note: &str) {
        let note = (!note.is_empty()).then(|| note.to_owned());
        self.say(What::Unsure(Box::new(Unsure { head: heads(head), why, how, note })));
    }

    pub fn unreached(&mut self, of: &str, why: UnreachedWhy, denied_by: Option<&str>, note: Option<&str>) {
        self.say(What::Unreached(Box::new(Unreached {
            heads: heads(of),
            why,
            denied_by: denied_by.map(str::to_owned),
            note: note.map(str::to_owned),
        })));
    }

    pub fn note(&mut self, head: Option<&str>, text: &str) {
        self.say(What::Note(Box::new(Note { head: head.map(heads), text: text.into() })));
    }

    pub fn notice(&mut self, head: &str, told: &str, how: Channel, note: &str) {
        let note = Some(note.to_owned());
        self.say(What::Notice(Box::new(Notice { told: told.into(), how, head: Some(heads(head)), note })));
    }

    pub fn did(&mut self, head: &str, did: Deed, kind: Option<&str>, who: &str) {
        self.say(What::Did(Box::new(Did {
            head: heads(head),
            did,
            kind: kind.map(str::to_owned),
            from: None,
            who: Some(who.into()),
            note: None,
        })));
    }

    /// A head was replaced with a spare out of a cabinet.
    pub fn replaced_from(&mut self, head: &str, (from, kind): (&str, &str), who: &str) {
        self.say(What::Did(Box::new(Did {
            head: heads(head),
            did: Deed::Replaced,
            kind: Some(kind.to_owned()),
            from: Some(cabinet(from)),
            who: Some(who.into()),
            note: None,
        })));
    }

    /// A count of spares: those that lie there, those of them that must not be used.
    pub fn counted(&mut self, at: &str, held: &str, unfit: &str, note: &str) {
        let note = (!note.is_empty()).then(|| note.to_owned());
        let counted = Counted { cabinet: cabinet(at), held: spares(held), unfit: spares(unfit), note };
        self.say(What::Counted(Box::new(counted)));
    }

    /// `CABINET N KIND`, which way, and why.
    pub fn moved(&mut self, words: &str, way: Way, note: &str) {
        let [at, n, kind] = words.split(' ').collect::<Vec<_>>()[..] else { panic!("{words}") };
        self.say(What::Moved(Box::new(Moved {
            cabinet: cabinet(at),
            kind: kind.to_owned(),
            n: n.parse().expect(words),
            way,
            head: None,
            note: Some(note.to_owned()),
        })));
    }

    /// The wrenches that are there, those that are not, and whatever else was looked at.
    pub fn checked(&mut self, at: &str, there: &str, missing: &str, more: impl FnOnce(&mut Checked)) {
        let found = there.split_whitespace().map(|w| (w.to_owned(), true));
        let wrenches = found.chain(missing.split_whitespace().map(|w| (w.to_owned(), false))).collect();
        let mut it = Checked {
            cabinet: cabinet(at),
            wrenches,
            list: None,
            warmest: None,
            dry: Some(true),
            place: Some(true),
            note: None,
        };
        more(&mut it);
        self.say(What::Checked(Box::new(it)));
    }

    /// A list was posted that day.
    pub fn posted(&mut self, at: &str, keep: &str) {
        let posted = Posted { cabinet: cabinet(at), date: self.now.date_naive(), keep: spares(keep) };
        self.say(What::Posted(Box::new(posted)));
    }

    /// `heads` is a list of address forms.
    pub fn lot(&mut self, id: &str, name: &str, of: &str, why: &str, due: Option<&str>) {
        self.say(What::Lot(Box::new(NewLot {
            id: cabinet(id),
            name: name.into(),
            heads: of.split_whitespace().map(heads).collect(),
            why: Some(why.into()),
            due: due.map(|d| d.parse().expect(d)),
            note: None,
        })));
    }

    /// A draw by chance of heads of one kind but where `ADDRESS=KIND` says otherwise.
    pub fn drawn(&mut self, lot: &str, seed: u32, (eligible, asked): (u32, u32), kind: &str, picks: &[&str]) {
        let picks = picks.iter().zip(1..).map(|(pick, n)| {
            let (head, kind) = pick.split_once('=').unwrap_or((pick, kind));
            Pick { head: Address::parse(head).expect(head), kind: kind.into(), tag: format!("{lot}-{n}") }
        });
        self.say(What::Drawn(Box::new(Drawn {
            lot: cabinet(lot),
            way: DrawnBy::Random,
            seed: Some(seed),
            eligible,
            asked,
            unseen: false,
            picks: picks.collect(),
            note: None,
        })));
    }

    pub fn custody(&mut self, lot: &str, step: Step, to: &str, from: &str) {
        let some = |t: &str| (!t.is_empty()).then(|| t.to_owned());
        let (lot, tags) = (cabinet(lot), Vec::new());
        self.say(What::Custody(Box::new(Custody {
            lot,
            step,
            tags,
            from: some(from),
            to: some(to),
            on: None,
            note: None,
        })));
    }

    pub fn tested(&mut self, lot: &str, head: &str, readings: Readings) {
        let head = Address::parse(head).expect(head);
        self.say(What::Tested(Box::new(Tested { lot: cabinet(lot), head, readings })));
    }

    pub fn concluded(&mut self, lot: &str, on: &str, passed: bool, by: &str, tested: u32) {
        let on = PartialDate::parse(on).expect(on);
        let (lot, tested) = (cabinet(lot), Some(tested));
        self.say(What::Concluded(Box::new(Concluded { lot, on, passed, by: by.into(), tested, note: None })));
    }

    pub fn gone(&mut self, head: &str, of: Id) {
        self.say(What::Gone(Box::new(Gone { head: heads(head), of, note: None })));
    }

    pub fn added(&mut self, head: &str, kind: &str, after: u16) {
        let head = Address::parse(head).expect(head);
        self.say(What::Added(Box::new(Added { head, kind: kind.into(), after: Some(after) })));
    }

    pub fn new_kind(&mut self, kind: Kind) {
        self.say(What::NewKind(Box::new(kind)));
    }

    /// Signs the round; entries of the round from here on are marked as after the sign-off. The digest is put in when the
    /// file is written.
    pub fn signoff(&mut self, name: &str, licence: &str) {
        let id = self.say(What::Signoff(Box::new(Signoff {
            name: name.into(),
            licence: licence.into(),
            date: self.now.date_naive(),
            digest: String::new(),
            lines: 0,
            note: None,
        })));
        self.after = Some(id);
    }
}

/// The file: a register, and behind it the script's entries as the journal writes them.
pub fn write(register: &str, script: Script) -> String {
    let folder = tempfile::tempdir().expect("a folder for the moment");
    let path = folder.path().join("sample.site.yaml");
    std::fs::write(&path, register).expect("the register");
    let since = script.entries.first().expect("an entry").at;
    let who = Holder { user: "samples".into(), host: "here".into(), pid: 1, since };
    let opened = journal::open(&path, Mode::Write, &who).expect("the register opens");
    let told: Vec<String> = opened.notices.iter().map(ToString::to_string).collect();
    assert!(told.is_empty(), "{told:?}");
    let mut journal: Journal = opened.writable.expect("the file can be written");
    let mut rest = script.entries;
    while !rest.is_empty() {
        let before = rest.iter().position(|e| matches!(e.what, What::Signoff(_))).unwrap_or(rest.len());
        let mut now: Vec<Entry> = rest.drain(..before).collect();
        journal.append_all(&mut now).expect("the entries are recorded");
        if !rest.is_empty() {
            let mut entry = rest.remove(0);
            if let What::Signoff(signoff) = &mut entry.what {
                let digest = digest::round_lines(&Real, &path, &entry.round).expect("the file is read").digest();
                (signoff.digest, signoff.lines) = (digest.digest, digest.lines);
            }
            journal.append(&mut entry).expect("the sign-off is recorded");
        }
    }
    let text = std::fs::read_to_string(&path).expect("the file");
    let (head, entries) = text.split_at(register.len());
    let mut out = head.to_owned();
    let mut comments = script.comments.into_iter().peekable();
    for (number, line) in entries.split_inclusive('\n').enumerate() {
        while let Some((_, comment)) = comments.next_if(|(at, _)| *at == number) {
            out.push_str(&comment);
        }
        out.push_str(line);
    }
    out
}
