//! One question put to many site files, on as many processors as there are; the answers come in the order of the files.

use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::session::{Failure, Session};
use crate::diag::{Diagnostic, Severity};
use crate::record::desk::Desk;
use crate::record::journal::Mode;

type Answer<T> = Result<(T, Vec<Diagnostic>), Vec<Diagnostic>>;

/// Opens every file for reading, as seen from the round asked for, and puts the question. A file that cannot be read is told and
/// left out; whether there was one comes back.
///
/// # Errors
/// The streams'.
pub fn site<T: Send>(
    files: &[PathBuf],
    session: &mut Session<'_, '_>,
    ask: impl Fn(&Desk, &str) -> T + Sync,
) -> Result<(Vec<T>, bool), Failure> {
    let who = session.reader();
    let clock = session.clock();
    let round = session.global.round.clone();
    let answers: Vec<Mutex<Option<Answer<T>>>> = files.iter().map(|_| Mutex::new(None)).collect();
    let next = AtomicUsize::new(0);
    let work = || {
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let (Some(path), Some(slot)) = (files.get(at), answers.get(at)) else { return };
            let answer = Desk::open(path, Mode::Read, &who, &*clock, round.as_deref())
                .map(|(desk, notices)| (ask(&desk, &path.display().to_string()), notices));
            *slot.lock().unwrap_or_else(std::sync::PoisonError::into_inner) = Some(answer);
        }
    };
    let hands = std::thread::available_parallelism().map_or(1, std::num::NonZero::get).min(files.len());
    std::thread::scope(|scope| {
        for _ in 1..hands {
            scope.spawn(work);
        }
        work();
    });
    let (mut given, mut bad) = (Vec::new(), false);
    for answer in answers {
        match answer.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner) {
            Some(Ok((answer, notices))) => {
                let weighty: Vec<_> = notices.into_iter().filter(|n| n.severity > Severity::Note).collect();
                session.damaged |= weighty.iter().any(|n| n.severity == Severity::Error);
                session.tell(&weighty)?;
                given.push(answer);
            }
            Some(Err(told)) => {
                bad = true;
                session.tell(&told)?;
            }
            None => bad = true,
        }
    }
    Ok((given, bad))
}
