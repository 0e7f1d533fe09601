//! A private folder to run the real program in: nothing of the machine's environment gets in, every run ends in bounded
//! time, and what became of a site file is read back with the library. Holds no test.
#![allow(dead_code)]

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use headround::record::scan::{self, Scan};
use headround::round::words::entry_words;

/// The program.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_headround");

/// How long anything may take before a test gives up: far beyond what a loaded machine needs.
pub const PATIENCE: Duration = Duration::from_secs(45);

/// Two kinds, three areas; the first area has 100 heads on 10 lines.
pub const REGISTER: &str = "\
format: headround site 1
site: {id: 01KAVQ5R8Z0000000000000000, name: Marram Quay Cannery, where: \"4 Saltpan Lane, Port Tarrow\", rules: nfpa25-2023, units: us}
kinds:
  qr-pendent: {orientation: pendent, response: quick, element: bulb, rating: 155 F, k: 5.6, finish: chrome, made: 2009}
  int-upright: {orientation: upright, response: standard, element: link, rating: 200 F, k: 5.6, finish: brass, made: 1988}
areas:
  hall:
    name: Packing hall
    in_service: 2009-05
    ceiling_max: 100 F
    lines: [10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent, 10 qr-pendent]
  dock:
    name: Dock
    lines: [5 int-upright, 4 int-upright]
  office:
    name: Offices
    lines: [6 qr-pendent]
";

/// The round that is being walked.
pub const BEGUN: &str = "\
--- {\"id\":\"01KB0000000000000000000001\",\"at\":\"2025-11-26T08:00:00-05:00\",\"by\":\"ines\",\"round\":\"2025\",\"begin\":{\"date\":\"2025-11-26\",\"inspector\":\"Ines Tidewell\",\"licence\":\"PT-118\",\"purpose\":\"annual inspection\"}}
";

/// The folder. It lies in memory where there is such a place: tests of many rounds would wait for a disk's syncs.
pub struct Place {
    folder: tempfile::TempDir,
}

impl Place {
    /// An empty folder.
    pub fn new() -> Self {
        let memory = Path::new("/dev/shm");
        let folder = tempfile::tempdir_in(memory).or_else(|_| tempfile::tempdir()).expect("a folder");
        Self { folder }
    }

    /// With a site in it, `quay.site.yaml`, whose round has begun.
    pub fn with_site() -> Self {
        let place = Self::new();
        place.write("quay.site.yaml", format!("{REGISTER}{BEGUN}"));
        place
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        std::fs::write(self.path(name), bytes).expect(name);
    }

    pub fn bytes(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).expect(name)
    }

    /// The variables the program runs with.
    pub fn environment(&self) -> Vec<(&'static str, String)> {
        let folder = |name: &str| self.path(name).display().to_string();
        vec![
            ("HOME", folder("home")),
            ("HEADROUND_DATA", folder("data")),
            ("HEADROUND_RULES", folder("rules")),
            ("USER", "ines".to_owned()),
            ("HOSTNAME", "quay".to_owned()),
            ("TZ", "EST5".to_owned()),
            ("TERM", "xterm-256color".to_owned()),
            ("LANG", "C.UTF-8".to_owned()),
            ("PATH", std::env::var("PATH").unwrap_or_default()),
        ]
    }

    /// The program with arguments, in the folder.
    pub fn command(&self, arguments: &[&str]) -> Command {
        self.other(PROGRAM, arguments)
    }

    /// Any program in the folder, with the same surroundings.
    pub fn other(&self, program: &str, arguments: &[&str]) -> Command {
        let mut command = Command::new(program);
        command.args(arguments).env_clear().envs(self.environment()).current_dir(self.folder.path());
        command
    }

    /// Runs the program to its end.
    pub fn run(&self, arguments: &[&str]) -> Ran {
        run(self.command(arguments), "")
    }

    /// Runs it with something typed.
    pub fn typed(&self, arguments: &[&str], typed: &str) -> Ran {
        run(self.command(arguments), typed)
    }

    /// Runs it through a shell that prepares something first; `$PROGRAM` is the program.
    pub fn shell(&self, script: &str, typed: &str) -> Ran {
        let mut command = self.other("/bin/sh", &["-c", script]);
        command.env("PROGRAM", PROGRAM);
        run(command, typed)
    }

    /// What the library reads in a site file.
    pub fn scan(&self, name: &str) -> Scan {
        scan::scan(self.bytes(name).as_slice(), name).expect("memory reads")
    }

    /// The entries of a site file in words, without the round's beginning; nothing may be wrong with the file.
    pub fn entries(&self, name: &str) -> Vec<String> {
        let scan = self.scan(name);
        let told: Vec<String> = scan.findings.iter().map(|f| f.diagnostic.to_string()).collect();
        assert!(told.is_empty(), "{told:#?}");
        scan.entries.iter().map(entry_words).skip(1).collect()
    }
}

/// What a run came to.
#[derive(Debug)]
pub struct Ran {
    /// The exit code; none where a signal ended it.
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
    pub took: Duration,
}

impl Ran {
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }

    /// Whether standard error holds every one of the words.
    pub fn tells(&self, words: &[&str]) -> bool {
        words.iter().all(|w| self.err.contains(w))
    }

    /// The first character that no terminal may be sent, in what was written.
    pub fn steers(&self) -> Option<char> {
        let all = self.out.chars().chain(self.err.chars());
        all.into_iter().find(|c| *c != '\n' && headround::diag::is_unprintable(*c))
    }
}

/// Runs a command with something typed; one that does not end is ended and fails the test.
pub fn run(mut command: Command, typed: &str) -> Ran {
    let started = Instant::now();
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("the program starts");
    let mut input = child.stdin.take().expect("a pipe");
    let typed = typed.to_owned();
    // Whether all of it is read is the program's business.
    let writer = std::thread::spawn(move || drop(input.write_all(typed.as_bytes())));
    let out = reader(child.stdout.take().expect("a pipe"));
    let err = reader(child.stderr.take().expect("a pipe"));
    let code = wait(&mut child, &format!("{command:?}"));
    writer.join().expect("the writer ends");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("the program writes UTF-8");
    let out = text(out.join().expect("the reader ends"));
    let err = text(err.join().expect("the reader ends"));
    Ran { code, out, err, took: started.elapsed() }
}

fn reader(mut from: impl std::io::Read + Send + 'static) -> std::thread::JoinHandle<Vec<u8>> {
    std::thread::spawn(move || {
        let mut bytes = Vec::new();
        from.read_to_end(&mut bytes).expect("a pipe");
        bytes
    })
}

/// Waits for a process within the patience.
pub fn wait(child: &mut Child, what: &str) -> Option<i32> {
    let until = Instant::now() + PATIENCE;
    loop {
        if let Some(status) = child.try_wait().expect("a process") {
            return status.code();
        }
        if Instant::now() > until {
            let _ = child.kill();
            panic!("it did not end within {PATIENCE:?}: {what}");
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// Sends a signal by its name, as in `TERM`.
pub fn signal(pid: u32, name: &str) {
    let sent = Command::new("/bin/sh").args(["-c", &format!("kill -{name} {pid}")]).status().expect("a shell");
    assert!(sent.success());
}
