//! An open site: its journal and the state that follows from it. Whatever is recorded goes to the disk first and into
//! the state only after that.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::adopted::Adopted;
use super::disk::Real;
use super::journal::{self, Journal, Mode};
use super::lock::Holder;
use super::scan::MAX_TOLD;
use super::{digest, rule_files};
use crate::diag::{Diagnostic, Place, Severity, Source};
use crate::round::act;
use crate::round::entry::{Entry, Id, Marks, Signoff, What};
use crate::round::state::State;
use crate::rules::judge::Judge;

/// Clock and chance, which only the program's edge may read.
pub trait Clock: Send + Sync {
    /// The moment, with the place's offset.
    fn now(&self) -> DateTime<FixedOffset>;

    /// A number nobody can guess.
    fn random(&self) -> u128;
}

/// Who opens a site, and what they bring along.
#[derive(Clone, Debug)]
pub struct Who {
    /// Short name, as it stands in entries.
    pub by: String,
    /// The machine's name, for the one who finds the file in use.
    pub host: String,
    /// The process, for the same.
    pub pid: u32,
    /// Folder of the person's own rule sets.
    pub rules: Option<PathBuf>,
}

/// An open site.
pub struct Desk {
    path: PathBuf,
    by: Arc<str>,
    state: State,
    source: Arc<Source>,
    journal: Result<Journal, String>,
    adopted: Adopted,
    unread: usize,
}

impl Desk {
    /// How many places of the file could not be read when it was opened: what was written there is missing from the state.
    #[must_use]
    pub const fn unread(&self) -> usize {
        self.unread
    }

    /// Opens a site file. `present` names the round to look from; without it, the latest. A signed round is judged by the
    /// set it was walked under, where its begin names one that can be had; every other by the set that the site names. What
    /// was noticed on the way comes along.
    ///
    /// # Errors
    /// Everything that keeps the file from being used, each with its place.
    pub fn open(
        path: &Path,
        mode: Mode,
        who: &Who,
        clock: &dyn Clock,
        present: Option<&str>,
    ) -> Result<(Self, Vec<Diagnostic>), Vec<Diagnostic>> {
        let holder = Holder { user: who.by.clone(), host: who.host.clone(), pid: who.pid, since: clock.now() };
        let shown = path.display().to_string();
        let opened = journal::open(path, mode, &holder).map_err(|e| {
            let code = match e {
                journal::OpenError::Missing(_) => "no-such-file",
                journal::OpenError::Unreadable { .. } => "unreadable",
            };
            vec![told(&shown, Severity::Error, code, &e.to_string())]
        })?;
        let mut notices = opened.notices;
        let Some(register) = opened.register else {
            return Err(notices);
        };
        let set = rule_files::load(&register.site.rules, path, who.rules.as_deref()).map_err(|mut troubles| {
            troubles.extend(notices.clone());
            troubles
        })?;
        let judge = Judge::new(Arc::clone(&set), &register.recalled);
        if let Some(name) = present
            && !opened.entries.iter().any(|e| &*e.round == name)
        {
            let names = crate::round::rounds::Rounds::of(&opened.entries, |_| true);
            let known: Vec<String> = names.iter().map(|r| r.name.to_string()).collect();
            let mut it = Diagnostic::about(
                Severity::Error,
                "unknown-round",
                path.display().to_string(),
                format!("the file has no round '{}'", crate::diag::plain(name)),
            );
            it = it.help(if known.is_empty() {
                "no round has begun in it".to_owned()
            } else {
                format!("its rounds: {}", known.join(", "))
            });
            return Err(vec![it]);
        }
        let mut state = State::fold(register, opened.entries, judge, present);
        let adopted = Adopted { site: set, path: path.to_owned(), folder: who.rules.clone() };
        notices.extend(adopted.settle(&mut state));
        // What was taken back needs no mending.
        let stands = |id| state.find_entry(id).is_some_and(|ix| state.stands(ix));
        let mut problems = state.problems().iter().filter(|p| stands(p.entry));
        for problem in problems.by_ref().take(MAX_TOLD) {
            let why = format!("entry {}: {}", problem.entry, problem.why);
            let mut it = Diagnostic::about(Severity::Warning, "does-not-fit", shown.clone(), why);
            let line = state.find_entry(problem.entry).and_then(|ix| opened.lines.get(ix.at()));
            it.place =
                line.and_then(|line| usize::try_from(*line).ok()).map(|line| Place { span: 0..0, line, column: 1 });
            notices.push(it);
        }
        let rest = problems.count();
        if rest > 0 {
            let why = format!("{rest} more of the same ('does-not-fit') are not shown");
            notices.push(Diagnostic::about(Severity::Warning, "does-not-fit", shown.clone(), why));
        }
        for notice in notices.iter_mut().filter(|n| n.code == "read-only") {
            *notice = told(&shown, notice.severity, "read-only", &notice.message);
        }
        let desk = Self {
            path: path.to_owned(),
            by: Arc::from(who.by.as_str()),
            state,
            source: opened.source,
            journal: opened.writable.map_err(|why| why.to_string()),
            adopted,
            unread: notices.iter().filter(|n| n.severity == Severity::Error).count(),
        };
        Ok((desk, notices))
    }

    /// What follows from the entries.
    #[must_use]
    pub const fn state(&self) -> &State {
        &self.state
    }

    /// Where the file is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The register's document as it stands in the file.
    #[must_use]
    pub const fn source(&self) -> &Arc<Source> {
        &self.source
    }

    /// The writer's short name.
    #[must_use]
    pub fn by(&self) -> &str {
        &self.by
    }

    /// Why nothing can be recorded, if nothing can.
    #[must_use]
    pub fn read_only(&self) -> Option<&str> {
        match &self.journal {
            Ok(_) => None,
            Err(why) => Some(why),
        }
    }

    /// Records entries in one write. They are in the state only once they are on the disk. A begin that names no rule set is
    /// given the site's.
    ///
    /// # Errors
    /// Why nothing was recorded: the file is read-only, the round is not begun, the disk failed.
    pub fn record(&mut self, drafts: Vec<(What, Marks)>, clock: &dyn Clock) -> Result<Vec<Id>, Box<Diagnostic>> {
        let round = match drafts.iter().find_map(|(what, _)| if let What::Begin(b) = what { Some(b) } else { None }) {
            Some(begin) => self.name_for(begin.date),
            None => match self.state.present_round() {
                Some(round) => Arc::clone(&round.name),
                None => {
                    return Err(Box::new(
                        self.trouble("no-round", "no round has begun")
                            .help("begin one: it takes its name, the day and the inspector from you"),
                    ));
                }
            },
        };
        self.record_in(round, drafts, clock)
    }

    /// Records entries of a round by name; used to begin one under a name of the person's own.
    ///
    /// # Errors
    /// As [`Self::record`].
    pub fn record_in(
        &mut self,
        round: Arc<str>,
        drafts: Vec<(What, Marks)>,
        clock: &dyn Clock,
    ) -> Result<Vec<Id>, Box<Diagnostic>> {
        let signed = self
            .state
            .rounds()
            .named(&round)
            .and_then(|ix| self.state.rounds().get(ix))
            .and_then(|r| r.signoff.as_ref())
            .map(|(id, _)| *id);
        let at = clock.now();
        let mut entries = Vec::with_capacity(drafts.len());
        let known = self.state.entries().last().map(|e| e.id);
        let mut last = self.journal.as_ref().ok().and_then(Journal::last_id).max(known);
        for (mut what, mut marks) in drafts {
            if let What::Begin(begin) = &mut what
                && begin.rules.is_none()
            {
                begin.rules = Some(self.state.register().site.rules.clone());
            }
            let millis = u64::try_from(at.timestamp_millis()).unwrap_or(0);
            let id = Id::after(last, millis, clock.random());
            last = Some(id);
            if marks.after.is_none() {
                marks.after = signed;
            }
            let marks = (marks != Marks::default()).then(|| Box::new(marks));
            entries.push(Entry { id, at, by: Arc::clone(&self.by), round: Arc::clone(&round), what, marks });
        }
        match &mut self.journal {
            Ok(journal) => {
                if let Err(error) = journal.append_all(&mut entries) {
                    let why = error.to_string();
                    let trouble = self.trouble("not-recorded", &why);
                    // Only a journal that has lost hold of its file is given up; the others refused this one entry.
                    if !matches!(error, journal::AppendError::TooLong { .. } | journal::AppendError::Unreadable { .. })
                    {
                        self.journal = Err(why);
                    }
                    return Err(Box::new(trouble));
                }
            }
            Err(why) => {
                let why = format!("nothing can be recorded: {why}");
                return Err(Box::new(self.trouble("read-only", &why)));
            }
        }
        let ids = entries.iter().map(|e| e.id).collect();
        let turns = entries.iter().any(|e| matches!(e.what, What::Begin(_) | What::Signoff(_) | What::Retract(_)));
        self.state.apply_all(entries);
        if turns {
            // The round looked from may be another now, or may have been signed. What is to be said of it was said when
            // the file was opened, or is said when a signature is asked for.
            self.adopted.settle(&mut self.state);
        }
        Ok(ids)
    }

    fn name_for(&self, date: NaiveDate) -> Arc<str> {
        use chrono::Datelike as _;
        let year = date.year().to_string();
        let mut name = year.clone();
        let mut n = 2;
        while self.state.rounds().named(&name).is_some() {
            name = format!("{year}-{n}");
            n += 1;
        }
        Arc::from(name)
    }

    fn trouble(&self, code: &'static str, message: &str) -> Diagnostic {
        told(&self.path.display().to_string(), Severity::Error, code, message)
    }

    /// Takes back the writer's last step of the present round; what it was comes back in words.
    ///
    /// # Errors
    /// As [`Self::record`].
    pub fn undo(&mut self, clock: &dyn Clock) -> Result<Option<(Id, String)>, Box<Diagnostic>> {
        let Some(target) = act::undo_target(&self.state, &self.by) else { return Ok(None) };
        let words = self.words_of(target);
        self.record(vec![(What::Retract(target), Marks::default())], clock)?;
        Ok(Some((target, format!("Taken back: {words}"))))
    }

    /// Brings back what the writer took back last.
    ///
    /// # Errors
    /// As [`Self::record`].
    pub fn redo(&mut self, clock: &dyn Clock) -> Result<Option<(Id, String)>, Box<Diagnostic>> {
        let Some(target) = act::redo_target(&self.state, &self.by) else { return Ok(None) };
        let undone = self.state.find_entry(target).and_then(|e| self.state.entry(e)).map(|e| &e.what);
        let words = match undone {
            Some(What::Retract(inner)) => self.words_of(*inner),
            _ => String::new(),
        };
        self.record(vec![(What::Retract(target), Marks::default())], clock)?;
        Ok(Some((target, format!("Brought back: {words}"))))
    }

    fn words_of(&self, id: Id) -> String {
        self.state
            .find_entry(id)
            .and_then(|e| self.state.entry(e))
            .map(crate::round::words::entry_words)
            .unwrap_or_default()
    }

    /// Signs the present round: the digest is worked out from the lines as they stand in the file.
    ///
    /// # Errors
    /// What stands in the way, or why it could not be written.
    pub fn sign(
        &mut self,
        name: String,
        licence: String,
        date: NaiveDate,
        note: Option<String>,
        clock: &dyn Clock,
    ) -> Result<Id, Box<Diagnostic>> {
        let obstacles = act::obstacles(&self.state);
        if !obstacles.is_clear() {
            let why = crate::round::words::obstacle_words(&obstacles);
            return Err(Box::new(self.trouble("not-ready", &format!("the round cannot be signed: {why}"))));
        }
        let Some(round) = self.state.present_round().map(|r| Arc::clone(&r.name)) else {
            return Err(Box::new(self.trouble("no-round", "no round has begun")));
        };
        let digest = digest::round_lines(&Real, &self.path, &round)
            .map_err(|e| Box::new(self.trouble("unreadable", &format!("the round's lines could not be read: {e}"))))?
            .digest();
        let signoff = Signoff { name, licence, date, digest: digest.digest, lines: digest.lines, note };
        let ids = self.record_in(round, vec![(What::Signoff(Box::new(signoff)), Marks::default())], clock)?;
        ids.first().copied().ok_or_else(|| Box::new(self.trouble("not-written", "the sign-off was not written")))
    }
}

/// The journal's sentences say what happened and, behind the last `; `, what to do.
fn told(file: &str, severity: Severity, code: &'static str, sentence: &str) -> Diagnostic {
    match sentence.rsplit_once("; ") {
        Some((what, help)) => Diagnostic::about(severity, code, file, what).help(help),
        None => Diagnostic::about(severity, code, file, sentence),
    }
}
