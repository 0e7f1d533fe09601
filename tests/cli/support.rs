//! A place to run commands in: a folder of its own, a clock that ticks a second a look, ids that repeat from run to run.
//! Nothing of the machine gets in.

use std::ffi::OsString;
use std::fs;
use std::io::Cursor;
use std::path::PathBuf;
use std::process::Command;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use chrono::{DateTime, FixedOffset, TimeDelta};
use headround::cli;
use headround::cli::surroundings::{Streams, Surroundings};
use headround::record::desk::Clock;

struct Ticking(AtomicU64);

impl Clock for Ticking {
    fn now(&self) -> DateTime<FixedOffset> {
        let n = self.0.fetch_add(1, Ordering::Relaxed);
        let start = DateTime::parse_from_rfc3339("2026-11-25T09:00:00-05:00").unwrap();
        start + TimeDelta::seconds(i64::try_from(n).unwrap())
    }

    fn random(&self) -> u128 {
        u128::from(self.0.fetch_add(1, Ordering::Relaxed)) * 0x9E37_79B9_7F4A_7C15
    }
}

/// The fixture: two areas, ten heads.
pub const HARBOUR: &str = include_str!("../fixtures/harbour.site.yaml");

pub struct Place {
    folder: tempfile::TempDir,
    pub around: Surroundings,
}

impl Place {
    /// An empty folder.
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let around = Surroundings {
            clock: Arc::new(Ticking(AtomicU64::new(0))),
            user: Some("Ines".into()),
            host: "quay".into(),
            pid: 4711,
            data: Some(folder.path().join("data")),
            rules: Some(folder.path().join("rules")),
            by: None,
            theme: None,
            no_color: false,
            term: Some("xterm".into()),
            in_is_terminal: false,
            out_is_terminal: false,
            err_is_terminal: false,
            columns: Some(100),
        };
        Self { folder, around }
    }

    /// With the fixture in it as `harbour.site.yaml`.
    pub fn with_harbour() -> Self {
        let place = Self::new();
        place.write("harbour.site.yaml", HARBOUR);
        place
    }

    /// With the fixture half walked: paint on an element, a leak, a head that could not be judged, two not reached.
    pub fn half_walked() -> Self {
        let place = Self::with_harbour();
        place.fine(&["begin", "@harbour.site.yaml", "--inspector", "Ines Tidewell", "--licence", "PT-118"]);
        place.walk("s\np 1 t: white drops\nnext\ns\nleak seal heavy\ngo 2.1\ns\nv dirty\ngo plant/1.1\nx locked: no key\nnext\nx locked\n");
        place
    }

    /// With every head answered for.
    pub fn walked() -> Self {
        let place = Self::half_walked();
        place.walk("area hall\nsweep area\nyes\narea plant\nsweep area\nyes\n");
        place
    }

    /// With the round signed.
    pub fn signed() -> Self {
        let place = Self::walked();
        place.fine(&["signoff", "@harbour.site.yaml", "--name", "Ines Tidewell", "--licence", "PT-118", "--yes"]);
        place
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    pub fn walk(&self, lines: &str) -> Ran {
        self.typed(&["walk", "@harbour.site.yaml", "--plain"], lines)
    }

    /// Runs a command; `@name` is a path in the folder.
    pub fn run(&self, arguments: &[&str]) -> Ran {
        self.typed(arguments, "")
    }

    /// Runs it and holds that it exits with 0.
    pub fn fine(&self, arguments: &[&str]) -> Ran {
        let ran = self.run(arguments);
        assert_eq!(ran.code, 0, "{ran}");
        ran
    }

    /// Runs it with something typed.
    pub fn typed(&self, arguments: &[&str], typed: &str) -> Ran {
        let (mut input, mut out, mut err) = (Cursor::new(typed.as_bytes()), Vec::new(), Vec::new());
        let mut streams = Streams { input: &mut input, out: &mut out, err: &mut err };
        let code = cli::run(self.arguments(arguments), &self.around, &mut streams);
        Ran { code, out: self.tidy(&out), err: self.tidy(&err) }
    }

    fn arguments(&self, arguments: &[&str]) -> Vec<OsString> {
        let path = |a: &&str| match a.strip_prefix('@') {
            Some(name) => self.path(name).into_os_string(),
            None => OsString::from(a),
        };
        std::iter::once(OsString::from("headround")).chain(arguments.iter().map(path)).collect()
    }

    /// The real program in this place, without anything of the machine's environment.
    pub fn program(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_headround"));
        command.args(self.arguments(arguments).into_iter().skip(1));
        command.env_clear().env("HEADROUND_DATA", self.path("data")).env("HEADROUND_RULES", self.path("rules"));
        command.env("USER", "Ines").env("TERM", "xterm").current_dir(self.folder.path());
        command
    }

    /// Runs the real program.
    pub fn real(&self, arguments: &[&str]) -> Ran {
        let output = self.program(arguments).output().unwrap();
        let code = u8::try_from(output.status.code().unwrap()).unwrap();
        Ran { code, out: self.tidy(&output.stdout), err: self.tidy(&output.stderr) }
    }

    /// Text without the folder's path and with digests shortened.
    fn tidy(&self, bytes: &[u8]) -> String {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        let text = text.replace(&format!("{}/", self.folder.path().display()), "");
        let mut out = String::new();
        let mut rest = text.as_str();
        while let Some(at) = rest.find("sha256:") {
            let (before, after) = rest.split_at(at + 7);
            out.push_str(before);
            let digits = after.bytes().take_while(u8::is_ascii_hexdigit).count();
            if digits == 64 {
                out.push('…');
            }
            rest = &after[if digits == 64 { 64 } else { 0 }..];
        }
        out + rest
    }
}

/// What a run came to.
pub struct Ran {
    pub code: u8,
    pub out: String,
    pub err: String,
}

impl Ran {
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {self}"))
    }
}

impl std::fmt::Display for Ran {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "exit {}\n{}", self.code, self.out)?;
        if self.err.is_empty() { Ok(()) } else { write!(f, "--- standard error\n{}", self.err) }
    }
}
