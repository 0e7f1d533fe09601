use crate::diag::{Diagnostic, Source};
use crate::round::entry::*;
use crate::trade::register::Register;
use std::path::Path;
use std::sync::Arc;
pub struct Holder {
    pub by: String,
    pub host: String,
    pub pid: u32,
    pub since: String,
}
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    Read,
    Write,
}
pub struct Journal {
    path: std::path::PathBuf,
}
pub struct Opened {
    pub source: Arc<Source>,
    pub register: Option<Register>,
    pub entries: Vec<Entry>,
    pub notices: Vec<Diagnostic>,
    pub journal: Result<Journal, String>,
}
impl Journal {
    pub fn open(path: &Path, _: Mode, _: &Holder) -> Result<Opened, Vec<Diagnostic>> {
        let text = std::fs::read_to_string(path).map_err(|e| {
            vec![Diagnostic::about(
                crate::diag::Severity::Error,
                "unreadable",
                path.display().to_string(),
                e.to_string(),
            )]
        })?;
        let at = text.find("\n--- {").map_or(text.len(), |i| i + 1);
        let source = Source::new(path.display().to_string(), &text[..at]);
        let (register, notices) = crate::trade::register_text::read(&source);
        let mut names = Names::default();
        let entries =
            text[at..].lines().filter_map(|l| Entry::from_json(l.strip_prefix("--- ")?, &mut names).ok()).collect();
        Ok(Opened { source, register, entries, notices, journal: Ok(Journal { path: path.into() }) })
    }
    pub fn refuses(&self) -> Option<&str> {
        None
    }
    pub fn append_all(&mut self, entries: &mut [Entry]) -> Result<(), Box<Diagnostic>> {
        use std::io::Write;
        let mut f = std::fs::OpenOptions::new().append(true).open(&self.path).unwrap();
        for e in entries {
            writeln!(f, "--- {}", e.to_json()).unwrap();
        }
        Ok(())
    }
}
