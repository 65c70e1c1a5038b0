//! The command line of Groundside: `run` takes arguments and an [`Io`] and does the rest, so that a
//! test can drive the whole program in process.
//!
//! This crate computes no physics. It reads arguments and typed lines, asks the engine, and words what
//! comes back. `files` alone touches files, `problem` alone turns errors into reports and exit
//! codes, `render` holds what things look like on screen.

mod args;
mod ask;
mod calibration;
mod files;
mod following;
pub mod language;
mod lint;
mod new;
mod opening;
mod problem;
mod render;
mod repl;
mod resume;
mod script;
mod separation;
mod session;
mod study;
mod style;
mod talk;
mod waiting;
mod write_up;

use std::ffi::OsString;
use std::fmt;
use std::io::{self, BufRead, BufReader, BufWriter, IsTerminal, Write};
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::{SystemTime, UNIX_EPOCH};

use clap::Parser;

use args::{Arguments, Subcommands};
use problem::Failure;
use style::{Page, Paint};

pub use render::netlist;

/// How the program ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Done.
    Done,
    /// What was asked about falls short.
    FallsShort,
    /// Misuse, or a file that cannot be used.
    Misuse,
}

impl Exit {
    /// The number a shell sees.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::FallsShort => 1,
            Self::Misuse => 2,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}

/// What the program runs in, besides its streams.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Host {
    /// Whether a person types the input.
    pub input_is_terminal: bool,
    /// Whether the output goes to a screen.
    pub output_is_terminal: bool,
    /// Whether the errors go to a screen.
    pub errors_are_terminal: bool,
    /// Whether `NO_COLOR` is set.
    pub no_color: bool,
    /// Whether the terminal is a dumb one.
    pub dumb: bool,
    /// Where records of attempts at a terminal are kept.
    pub state_dir: Option<PathBuf>,
    /// Seconds since 1970, from which a seed is taken when none is given.
    pub clock: u64,
    /// Columns of the screen, where they are known; prose is wrapped to fewer than 80.
    pub columns: Option<usize>,
    /// The program as it was called, set by [`run`].
    pub program: String,
}

/// The streams and surroundings of one run.
pub struct Io<'a> {
    /// Standard input.
    pub input: Box<dyn BufRead + 'a>,
    /// Standard output.
    pub output: Box<dyn Write + 'a>,
    /// Standard error.
    pub errors: Box<dyn Write + 'a>,
    /// The rest.
    pub host: Host,
}

impl fmt::Debug for Io<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Io")
            .field("host", &self.host)
            .finish_non_exhaustive()
    }
}

impl Io<'static> {
    /// Those of this process.
    #[must_use]
    pub fn of_process() -> Self {
        let variable = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
        let home = || variable("HOME").map(|home| PathBuf::from(home).join(".local/state"));
        let clock = SystemTime::now().duration_since(UNIX_EPOCH);
        Self {
            input: Box::new(BufReader::new(io::stdin())),
            output: Box::new(BufWriter::new(io::stdout())),
            errors: Box::new(io::stderr()),
            host: Host {
                input_is_terminal: io::stdin().is_terminal(),
                output_is_terminal: io::stdout().is_terminal(),
                errors_are_terminal: io::stderr().is_terminal(),
                no_color: variable("NO_COLOR").is_some(),
                dumb: variable("TERM").is_some_and(|term| term == "dumb"),
                state_dir: variable("XDG_STATE_HOME")
                    .map(PathBuf::from)
                    .or_else(home)
                    .map(|dir| dir.join("groundside")),
                clock: clock.map_or(0, |since| since.as_secs()),
                columns: columns(),
                program: String::new(),
            },
        }
    }
}

/// Columns of the screen: what `COLUMNS` says, else what the terminal says if there is one.
fn columns() -> Option<usize> {
    let said = std::env::var("COLUMNS").ok();
    let said = said.and_then(|text| text.trim().parse().ok());
    said.or_else(|| {
        let terminal = io::stdout().is_terminal();
        terminal.then(repl::columns).flatten()
    })
    .filter(|columns| *columns > 0)
}

impl Io<'_> {
    /// Colour for the output.
    pub(crate) const fn paint(&self) -> Paint {
        let host = &self.host;
        Paint {
            colour: host.output_is_terminal && !host.no_color && !host.dumb,
        }
    }

    const fn error_paint(&self) -> Paint {
        let host = &self.host;
        Paint {
            colour: host.errors_are_terminal && !host.no_color && !host.dumb,
        }
    }

    /// Writes a page.
    pub(crate) fn print(&mut self, page: &Page) -> Result<(), Failure> {
        let paint = self.paint();
        for line in &page.clone().fitted(self.host.columns).0 {
            writeln!(self.output, "{}", paint.line(line))?;
        }
        Ok(self.output.flush()?)
    }

    /// Writes one value as a line of JSON.
    pub(crate) fn print_json(&mut self, value: &impl serde::Serialize) -> Result<(), Failure> {
        serde_json::to_writer(&mut self.output, value).map_err(io::Error::from)?;
        writeln!(self.output)?;
        Ok(self.output.flush()?)
    }

    /// Writes a JSON document, indented.
    pub(crate) fn print_document(&mut self, value: &serde_json::Value) -> Result<(), Failure> {
        writeln!(self.output, "{value:#}")?;
        Ok(self.output.flush()?)
    }
}

/// Runs the program. `arguments` begin with the program's name.
pub fn run(arguments: impl IntoIterator<Item = OsString>, io: &mut Io<'_>) -> Exit {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    if let Some(program) = arguments.first() {
        io.host.program = program.to_string_lossy().into_owned();
    }
    let outcome = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => carry_out(&arguments, io),
        Err(error) => told_by_clap(&error, io),
    };
    let outcome = outcome.and_then(|exit| Ok(io.output.flush().map(|()| exit)?));
    match outcome {
        Ok(exit) => exit,
        Err(failure) => {
            let report = failure.report(io.error_paint());
            // Nobody is left to tell when even this cannot be written.
            let _ = io.errors.write_all(report.as_bytes());
            let _ = io.errors.flush();
            failure.exit()
        }
    }
}

fn carry_out(arguments: &Arguments, io: &mut Io<'_>) -> Result<Exit, Failure> {
    match &arguments.command {
        None => session::practice(&args::Practice::default(), io),
        Some(Subcommands::Practice(options)) => session::practice(options, io),
        Some(Subcommands::List(list)) => ask::list(list, io),
        Some(Subcommands::Show(show)) => ask::show(show, io),
        Some(Subcommands::Solve(solve)) => ask::solve(solve, io),
        Some(Subcommands::Netlist(point)) => ask::netlist(point, io),
        Some(Subcommands::Schema { kind }) => ask::schema(*kind, io),
        Some(Subcommands::Study(study)) => study::study(study, io),
        Some(Subcommands::Replay(record)) => ask::replay(record, io),
        Some(Subcommands::Lint(options)) => lint::lint(options, io),
        Some(Subcommands::New(new)) => new::new(new, io),
        Some(Subcommands::Debrief(debrief)) => ask::debrief(debrief, io),
    }
}

/// Help and version go to the output, everything else is misuse.
fn told_by_clap(error: &clap::Error, io: &mut Io<'_>) -> Result<Exit, Failure> {
    let text = |paint: Paint| {
        let rendered = error.render();
        if paint.colour {
            rendered.ansi().to_string()
        } else {
            rendered.to_string()
        }
    };
    if error.use_stderr() {
        io.errors.write_all(text(io.error_paint()).as_bytes())?;
        Ok(Exit::Misuse)
    } else {
        io.output.write_all(text(io.paint()).as_bytes())?;
        Ok(Exit::Done)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Runs the program on a script and gives its end, output and errors.
    fn played(arguments: &[&str], script: &str) -> (Exit, String, String) {
        let (mut output, mut errors) = (Vec::new(), Vec::new());
        let mut io = Io {
            input: Box::new(script.as_bytes()),
            output: Box::new(&mut output),
            errors: Box::new(&mut errors),
            host: Host::default(),
        };
        let arguments = std::iter::once("groundside").chain(arguments.iter().copied());
        let exit = run(arguments.map(OsString::from), &mut io);
        drop(io);
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        (exit, text(output), text(errors))
    }

    #[test]
    fn a_script_must_say_yes_to_danger_but_not_to_minutes() {
        let (exit, output, _) = played(
            &["practice", "--seed", "7"],
            "key on; low\nohms motor 53 motor 31\nvolts motor 53\nohms motor 53 motor 31\ny\npause\n",
        );
        assert_eq!(exit, Exit::Done);
        assert_eq!(output.matches("CAUTION").count(), 2, "{output}");
        assert_eq!(output.matches("no time spent").count(), 1, "{output}");
        let seen = |text: &str| output.matches(text).count();
        assert_eq!(seen("Motor 53 to battery neg:"), 1, "{output}");
        assert_eq!(seen("Motor 53 to motor 31:"), 1, "{output}");
    }

    #[test]
    fn schemas_are_printed_as_they_are_kept() {
        let kept = include_str!("../../scenarios/scenario.schema.json");
        let (exit, output, errors) = played(&["schema", "scenario"], "");
        assert_eq!(
            (exit, output.as_str(), errors.as_str()),
            (Exit::Done, kept, "")
        );
        let (_, either, _) = played(&["schema"], "");
        for definition in ["\"vehicle-file\"", "\"scenario-file\""] {
            assert!(either.contains(definition), "{definition}");
        }
        let (exit, _, errors) = played(&["schema", "vehicel"], "");
        assert_eq!(exit, Exit::Misuse);
        assert!(errors.contains("'vehicle'"), "{errors}");
    }

    #[test]
    fn a_hand_over_on_one_line_says_what_is_still_apart() {
        let line = "hand over complaint slow cause left pivot stiff";
        let script = format!("unplug motor plug; loosen crank nut\n{line}\n");
        let (_, output, _) = played(&["practice", "--seed", "7"], &script);
        let told = "Still apart or off: motor-plug unplugged, crank-nut undone.\n\
                    What was off or borrowed goes back first: 2.0 min.\nHanded over.\n";
        assert!(output.contains(told), "{output}");
        let (_, output, _) = played(&["practice", "--seed", "7"], &format!("{line}\n"));
        assert!(!output.contains("Still apart"), "{output}");
    }

    /// One unclear word costs its part alone, and that only until it is said again.
    #[test]
    fn a_script_keeps_what_is_understood_of_a_hand_over() {
        let line = "hand over complaint slow cause flux capacitor correction left pivot\n";
        for (more, found) in [
            ("", "You concluded nothing"),
            (
                "hand over cause left pivot stiff\n",
                "You concluded left-pivot.stiff",
            ),
        ] {
            let script = format!("{line}{more}");
            let (exit, output, _) = played(&["practice", "--seed", "7"], &script);
            let told = output.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(exit, Exit::Done);
            for words in [
                "There is no component `flux` on this vehicle.",
                "kept: complaint slow; correction left-pivot. Say the cause again, as `hand over cause ...`",
                "Handed over.",
                found,
            ] {
                assert!(told.contains(words), "{words}: {output}");
            }
            let dir = std::env::temp_dir();
            let name = format!(
                "groundside kept {} {}.jsonl",
                std::process::id(),
                more.len()
            );
            let path = dir.join(name);
            let record = path.to_str().unwrap();
            played(&["practice", "--seed", "7", "--record", record], &script);
            let kept = std::fs::read_to_string(&path).unwrap();
            std::fs::remove_file(&path).unwrap();
            let note = kept.contains("cause: flux capacitor");
            assert!(kept.contains("hand-over slow"), "{kept}");
            assert_eq!(note, more.is_empty(), "{kept}");
        }
    }

    #[test]
    fn the_debrief_explains_its_words() {
        let script = "key on; low; look; volts motor 53; volts motor 53b\nhand over complaint slow cause left pivot stiff\n";
        let (_, output, _) = played(&["practice", "--seed", "7"], script);
        let told = output.split_whitespace().collect::<Vec<_>>().join(" ");
        for words in [
            "by what was known when they were made; luck is left out.",
            "the rule of most told per minute needs on this very vehicle",
            "better instead: ",
            "(would have ",
            "What cost most points why",
            "The total is held down: the vehicle was not put right. It is then no more than your conclusion is worth, \
             guessed or proven: exact 40,",
            "Correctness is half what you concluded (100), half how sure your readings made the repair when you \
             ordered it (0, as there was none).",
        ] {
            assert!(told.contains(words), "{words}: {output}");
        }
        assert!(!told.contains(" bits"), "{output}");
    }

    #[test]
    fn the_only_part_that_is_swapped_needs_no_name() {
        let script = "sb\nswap breaker\nswap back\nswap breaker; swap wiper switch\nsb\npause\n";
        let (_, output, _) = played(&["practice", "--seed", "7"], script);
        for told in [
            "No known good part is in.",
            "Wiper-breaker: its own part is back.",
            "Which goes back: wiper-breaker or wiper-switch?",
        ] {
            assert!(output.contains(told), "{told}: {output}");
        }
    }

    #[test]
    fn no_fault_found_is_handed_over_as_noted_or_asked_about() {
        let (_, output, _) = played(
            &["practice", "--seed", "7"],
            "look\nhand over no fault found\nconclude ice\nhand over no fault found\n",
        );
        let told = output.split_whitespace().collect::<Vec<_>>().join(" ");
        for words in [
            "No fault found; what was it instead: battery flat",
            "You concluded windscreen.iced",
            "Hand-over 0:",
            "60 % is that share, 40 % complaint, cause and correction",
        ] {
            assert!(told.contains(words), "{words}: {output}");
        }
    }

    #[test]
    fn replies_name_what_they_are_about_once() {
        let script = "ammeter\ncontinuity motor 53 motor 31\nunplug motor plug\nj motor 53 bat+\nrj\npause\n";
        let (_, output, _) = played(&["practice", "--seed", "7"], script);
        let told = output.split_whitespace().collect::<Vec<_>>().join(" ");
        for words in [
            "Dash ammeter: 0 A.",
            "Motor 53 to motor 31: it beeps; ",
            "is whole; the motor starts.",
            "The jumper motor 53 to battery pos is off. The motor stops.",
        ] {
            assert!(told.contains(words), "{words}: {output}");
        }
        assert_eq!(told.matches("otor 53 to motor 31").count(), 1, "{output}");
    }

    #[test]
    fn every_line_of_json_is_an_object_and_the_last_is_the_result() {
        let script =
            "key on; wiper low; look\nnonsense\nhand over complaint slow cause left pivot stiff\n";
        let (_, output, _) = played(&["practice", "--seed", "7", "--format", "json"], script);
        let lines: Vec<serde_json::Value> = output
            .lines()
            .map(|line| serde_json::from_str(line).unwrap())
            .collect();
        assert!(lines.iter().all(serde_json::Value::is_object));
        assert!(lines[4]["refused"].is_string(), "{output}");
        assert_eq!(
            lines[lines.len() - 1]["result"]["verdict"],
            "exact",
            "{output}"
        );
    }

    #[test]
    fn nothing_is_coloured_off_a_terminal_or_under_no_color() {
        let (_, output, _) = played(&["list", "scenarios"], "");
        assert!(!output.contains('\u{1b}'));
        let mut io = Io {
            input: Box::new(io::empty()),
            output: Box::new(io::sink()),
            errors: Box::new(io::sink()),
            host: Host {
                output_is_terminal: true,
                ..Host::default()
            },
        };
        assert!(io.paint().colour);
        io.host.no_color = true;
        assert!(!io.paint().colour);
    }

    #[test]
    fn misuse_names_the_nearest_right_word() {
        for (arguments, nearest) in [
            (["show", "van-case-grond"].as_slice(), "van-case-ground"),
            (&["solve", "van-case-ground", "--fault", "motr.x"], "motor"),
            (
                &["solve", "van-case-ground", "--volts", "motor 5", "bat"],
                "motor 53",
            ),
            (
                &[
                    "solve",
                    "van-case-ground",
                    "--volts",
                    "motor 53",
                    "motor 53",
                ],
                "both leads are on motor 53",
            ),
            (
                &[
                    "solve",
                    "van-case-ground",
                    "--fault",
                    "motor-plug.53-loose:7",
                ],
                "0.1 to 0.5 of the time",
            ),
            (&["practise"], "practice"),
        ] {
            let (exit, _, errors) = played(arguments, "");
            assert_eq!(exit, Exit::Misuse, "{errors}");
            assert!(errors.contains(nearest), "{errors}");
        }
    }
}
