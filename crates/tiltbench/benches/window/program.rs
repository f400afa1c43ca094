//! The program itself: how soon it shows something, what it takes when left alone.

use crate::case::{Cases, repository};
use crate::{Row, median_and_longest, ms};
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 7;
/// Of the clock that `/proc` counts by, on every architecture Linux still runs on.
const TICKS_PER_S: u32 = 100;
/// How long the program is left alone.
const ALONE: Duration = Duration::from_secs(10);

pub(crate) fn rows(cases: &Cases) -> Vec<Row> {
    if !cfg!(target_os = "linux") {
        println!("the program: NOT MEASURED: what it takes is read from /proc, which is Linux's");
        return Vec::new();
    }
    let Some(screen) = Screen::find() else {
        println!("the program: NOT MEASURED: there is no display and no Xvfb; apt install xvfb");
        return Vec::new();
    };
    let home = cases.folder.path();
    let (mut frames, mut casts) = (Vec::new(), Vec::new());
    for run in 0..=RUNS {
        let mut program = Program::start(&screen, None, home);
        let frame = program.until("first frame");
        let cast = program.until("cast shown");
        // The first run fills the caches of the graphics driver.
        if run > 0 {
            frames.push(frame);
            casts.push(cast);
        }
    }
    let row = |what, times: Vec<Duration>| {
        let [median, longest] = median_and_longest(times);
        let beside = format!("from its start; longest of {RUNS}: {}", ms(longest));
        Row::new(what, "< 1.0 s", ms(median), beside)
    };
    let mut rows = vec![
        row("sample case, first frame", frames),
        row("sample case, first frame with the cast in it", casts),
    ];
    let mut program = Program::start(&screen, Some(&cases.big), home);
    let opened = program.until("everything shown");
    std::thread::sleep(Duration::from_secs(3));
    let id = program.child.id().to_string();
    let (start, before) = (Instant::now(), processor_time_of(&id));
    std::thread::sleep(ALONE);
    let used = processor_time_of(&id).saturating_sub(before);
    let busy = used.as_secs_f64() / start.elapsed().as_secs_f64();
    rows.push(Row::new(
        "processor when left alone",
        "< 1 %",
        format!("{:.2} %", 100.0 * busy),
        format!("of one processor, over {} s", ALONE.as_secs()),
    ));
    rows.push(Row::new(
        "resident memory",
        "< 600 MB",
        format!("{:.0} MB", program.memory_mb("VmRSS")),
        format!(
            "at most {:.0} MB; everything shown after {}",
            program.memory_mb("VmHWM"),
            ms(opened)
        ),
    ));
    rows
}

/// A screen for the program: the one there is, or one of our own without glass.
struct Screen {
    name: Option<String>,
    own: Option<Child>,
}

impl Screen {
    fn find() -> Option<Self> {
        let there = ["DISPLAY", "WAYLAND_DISPLAY"];
        if there
            .iter()
            .any(|key| std::env::var_os(key).is_some_and(|name| !name.is_empty()))
        {
            return Some(Self {
                name: None,
                own: None,
            });
        }
        // It chooses a free number by itself and writes it to its output.
        let mut own = Command::new("Xvfb")
            .args([
                "-displayfd",
                "1",
                "-screen",
                "0",
                "1400x900x24",
                "-nolisten",
                "tcp",
            ])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .ok()?;
        let mut number = String::new();
        BufReader::new(own.stdout.take()?)
            .read_line(&mut number)
            .ok()?;
        Some(Self {
            name: Some(format!(":{}", number.trim())),
            own: Some(own),
        })
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        if let Some(own) = &mut self.own {
            end(own);
        }
    }
}

/// The program, telling what it shows.
struct Program {
    child: Child,
    told: BufReader<std::process::ChildStdout>,
    start: Instant,
}

impl Program {
    /// On a case, or as without arguments on the sample case of the repository. `home` keeps what it
    /// writes away from the user's own.
    fn start(screen: &Screen, case: Option<&Path>, home: &Path) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_tiltbench"));
        command
            .current_dir(repository())
            .arg("--tell")
            .stdout(Stdio::piped());
        if let Some(case) = case {
            command.arg("open").arg(case);
        }
        if let Some(name) = &screen.name {
            command.env("DISPLAY", name);
        }
        for key in ["XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"] {
            command.env_remove(key);
        }
        command.env("HOME", home).env("XDG_RUNTIME_DIR", home);
        let start = Instant::now();
        let mut child = command.spawn().unwrap();
        let told = BufReader::new(child.stdout.take().unwrap());
        Self { child, told, start }
    }

    /// How long after its start it told something.
    fn until(&mut self, what: &str) -> Duration {
        let mut line = String::new();
        while line.trim() != what {
            line.clear();
            let bytes = self.told.read_line(&mut line).unwrap();
            assert!(bytes > 0, "the program ended before it told: {what}");
        }
        self.start.elapsed()
    }

    fn memory_mb(&self, key: &str) -> f64 {
        let status = self.read("status");
        let line = status.lines().find(|line| line.starts_with(key)).unwrap();
        let kilobytes: f64 = line.split_whitespace().nth(1).unwrap().parse().unwrap();
        kilobytes * 1024.0 / 1e6
    }

    fn read(&self, what: &str) -> String {
        std::fs::read_to_string(format!("/proc/{}/{what}", self.child.id())).unwrap()
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        end(&mut self.child);
    }
}

/// What a process has used of all processors; nothing where the system does not tell.
pub(crate) fn processor_time_of(process: &str) -> Duration {
    let stat = std::fs::read_to_string(format!("/proc/{process}/stat")).unwrap_or_default();
    // The name of the program, in parentheses, may hold anything.
    let after_name = stat.rsplit_once(')').map_or("", |(_, rest)| rest);
    let fields: Vec<&str> = after_name.split_whitespace().collect();
    let used = fields.get(11..13).unwrap_or_default().iter();
    let ticks: u32 = used.filter_map(|field| field.parse::<u32>().ok()).sum();
    Duration::from_secs(ticks.into()) / TICKS_PER_S
}

fn end(child: &mut Child) {
    drop(child.kill());
    drop(child.wait());
}
