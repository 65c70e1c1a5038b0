//! ngspice, a general circuit simulator, as a judge from outside: decks in primitives, one process for
//! many of them, and its answers as numbers.

pub mod analogue;
pub mod by_hand;
mod kept;
pub mod speed;
pub mod sweep;
pub mod transient;

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, BufRead as _, BufReader, Write as _};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::thread;

use tempfile::TempDir;

/// What a deck's `print` says, by the name that stands before its `=`; `v(4)` is written `4`.
pub type Answers = BTreeMap<String, f64>;

/// Decks handed over at once: their commands must fit into a pipe that nobody empties meanwhile.
const CHUNK: usize = 64;
/// What is printed after each deck.
const END: &str = "@end";

/// Decks that one process is given. A deck that goes wrong must not take the machine with it, so a process has ten minutes
/// of processor: plenty for these, not for a whole space.
const DECKS_A_PROCESS: usize = 1024;

/// ngspice's answers to decks, one after the other, each with its own `.control` section that prints what is wanted.
///
/// # Errors
/// When the program cannot be started or stops, or a file cannot be written.
pub fn answers(decks: &[String]) -> io::Result<Vec<Answers>> {
    let mut all = Vec::with_capacity(decks.len());
    for some in decks.chunks(DECKS_A_PROCESS) {
        all.extend(Ngspice::start()?.run(some)?);
    }
    Ok(all)
}

/// Does the same work on many items, a thread for each; results in the order of the items.
fn at_once<T: Send, R: Send>(
    items: impl IntoIterator<Item = T>,
    work: impl Fn(T) -> R + Sync,
) -> Vec<R> {
    let work = &work;
    thread::scope(|threads| {
        let begin = |item| threads.spawn(move || work(item));
        let begun: Vec<_> = items.into_iter().map(begin).collect();
        let begun = begun.into_iter();
        begun.map(|thread| thread.join().unwrap()).collect()
    })
}

/// A running ngspice.
#[derive(Debug)]
struct Ngspice {
    process: Child,
    commands: ChildStdin,
    output: BufReader<ChildStdout>,
    folder: TempDir,
}

/// The version, as ngspice gives it; `None` where it is not installed.
#[must_use]
pub fn version() -> Option<String> {
    let output = Command::new("ngspice").arg("--version").output().ok()?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    text.split_whitespace()
        .find(|word| word.starts_with("ngspice-"))
        .map(str::to_owned)
}

/// Whether ngspice is there.
#[must_use]
pub fn installed() -> bool {
    version().is_some()
}

impl Ngspice {
    /// Starts the program.
    fn start() -> io::Result<Self> {
        // 4 GB and ten minutes of processor: see `DECKS_A_PROCESS`.
        let limited = "ulimit -v 4000000; ulimit -t 600; exec ngspice -p";
        let mut process = Command::new("sh")
            .args(["-c", limited])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()?;
        let missing = || io::Error::other("a pipe is missing");
        Ok(Self {
            commands: process.stdin.take().ok_or_else(missing)?,
            output: BufReader::new(process.stdout.take().ok_or_else(missing)?),
            process,
            folder: tempfile::tempdir()?,
        })
    }

    /// Runs decks one after the other. Results are destroyed after each.
    fn run(&mut self, decks: &[String]) -> io::Result<Vec<Answers>> {
        let mut all = Vec::with_capacity(decks.len());
        for chunk in decks.chunks(CHUNK) {
            let mut commands = String::new();
            for (place, deck) in chunk.iter().enumerate() {
                let path = self.folder.path().join(format!("{place}.cir"));
                fs::write(&path, deck)?;
                let path = path.display();
                commands.push_str(&format!(
                    "source {path}\ndestroy all\nremcirc\necho {END}\n"
                ));
            }
            self.commands.write_all(commands.as_bytes())?;
            self.commands.flush()?;
            for _ in chunk {
                all.push(self.answers()?);
            }
        }
        Ok(all)
    }

    fn answers(&mut self) -> io::Result<Answers> {
        let mut answers = Answers::new();
        let mut line = String::new();
        loop {
            line.clear();
            if self.output.read_line(&mut line)? == 0 {
                return Err(io::Error::other("ngspice stopped before it had answered"));
            }
            if line.trim_end().ends_with(END) {
                return Ok(answers);
            }
            if let Some((name, value)) = line.split_once(" = ")
                && let Ok(value) = value.trim().parse()
            {
                let name = name.trim();
                let inner = name
                    .strip_prefix("v(")
                    .and_then(|name| name.strip_suffix(')'));
                answers.insert(inner.unwrap_or(name).to_owned(), value);
            }
        }
    }
}

impl Drop for Ngspice {
    fn drop(&mut self) {
        // It may have gone already; then there is nothing to end.
        let _ = self.commands.write_all(b"quit\n");
        let _ = self.commands.flush();
        let _ = self.process.wait();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_divider_is_solved_and_each_deck_has_its_own_answers() {
        if !installed() {
            return;
        }
        let deck = |volts: u32| {
            format!(
                "* divider\nV1 1 0 {volts}\nR1 1 2 3\nR2 2 0 1\n.control\nop\nprint all\n.endc\n.end\n"
            )
        };
        let decks: Vec<String> = (0..100).map(|n| deck(n * 4)).collect();
        let answers = answers(&decks).unwrap();
        assert_eq!(answers.len(), 100);
        for (n, answers) in (0..100).zip(answers) {
            assert!((answers["2"] - f64::from(n)).abs() < 1e-9, "{answers:?}");
            assert_eq!(answers.len(), 3);
        }
    }
}
