//! The command line as typed: subcommands, their options, and what their help says.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use groundside_engine::file::FileKind;

/// Exit codes, for the end of the main help.
const EXITS: &str = "\
Exit codes: 0 done; 1 what was asked about falls short (a record that is not \
what the engine gives); 2 misuse, or a file that cannot be used.

Example: groundside practice --seed 7";

/// Find a hidden fault in a vehicle's wiper system by measuring.
#[derive(Debug, Parser)]
#[command(name = "groundside", version, after_help = EXITS, max_term_width = 80)]
pub(crate) struct Arguments {
    /// What to do; practice on the default scenario when left out.
    #[command(subcommand)]
    pub(crate) command: Option<Subcommands>,
}

/// How an answer is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For people.
    #[default]
    Text,
    /// For programs.
    Json,
}

/// A kind of file, as typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum FileWord {
    /// A vehicle.
    Vehicle,
    /// A scenario.
    Scenario,
}

impl From<FileWord> for FileKind {
    fn from(word: FileWord) -> Self {
        match word {
            FileWord::Vehicle => Self::Vehicle,
            FileWord::Scenario => Self::Scenario,
        }
    }
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Subcommands {
    /// Practise on a vehicle with a hidden fault.
    #[command(after_help = "\
A script answers a question by a line `y` or `n` of its own. Without one it goes \
on where a question is about minutes, and steps back where it is about danger. \
The end of a script hands over with what there is.

Example: groundside practice rain-on-the-quay --seed 7
Example: echo 'key on; wiper low; look' | groundside practice --seed 7")]
    Practice(Practice),
    /// List what there is.
    #[command(subcommand, after_help = "Example: groundside list scenarios")]
    List(List),
    /// Show what a vehicle is made of.
    #[command(after_help = "Example: groundside show van-case-ground --kind wire")]
    Show(Show),
    /// Solve a vehicle's circuit at one operating point: all voltages and currents.
    #[command(after_help = "\
Example: groundside solve van-case-ground --key on --wiper low --volts 'motor 53' 'motor 31'")]
    Solve(Solve),
    /// Print an operating point as a SPICE deck, to check the engine by another program.
    #[command(after_help = "\
Example: groundside netlist van-case-ground --key on --wiper low > deck.cir && ngspice -b deck.cir")]
    Netlist(Point),
    /// Print the JSON Schema of vehicle and scenario files, for editors that check and complete TOML by one.
    #[command(after_help = "Example: groundside schema vehicle > vehicle.schema.json")]
    Schema {
        /// Which kind of file; either when left out.
        #[arg(value_enum, value_name = "KIND")]
        kind: Option<FileWord>,
    },
    /// Study a vehicle's faults as a whole.
    #[command(
        subcommand,
        after_help = "Example: groundside study observability rain-on-the-quay"
    )]
    Study(Study),
    /// Say whether a record is what the engine gives.
    #[command(after_help = "\
Exit code 0: it is. 1: it differs; the line is shown. 2: it cannot be read.

Example: groundside replay attempt.jsonl")]
    Replay(Record),
    /// Check vehicle and scenario files of your own: all that is wrong with them, at once.
    #[command(after_help = "\
A file with a table [vehicle] is a vehicle, one with [scenario] a scenario. A \
vehicle is run without a fault, a scenario's faults are tried on its vehicle: one \
that is checked along with it, a shipped one, a file of its name beside the \
scenario, or --vehicle. That takes seconds.

Exit code 0: no errors; there may be warnings. 1: errors. 2: a file could not be \
read.

Example: groundside lint scenarios --plain")]
    Lint(Lint),
    /// Begin a vehicle or a scenario of your own from a small one that works.
    #[command(subcommand, after_help = "Example: groundside new vehicle yard-van")]
    New(New),
    /// Mark and explain a finished attempt from its record.
    #[command(after_help = "Example: groundside debrief attempt.jsonl --format json")]
    Debrief(Debrief),
}

/// Options of `practice`.
#[derive(Args, Debug, Default)]
pub(crate) struct Practice {
    /// A scenario's name, or a scenario file.
    #[arg(value_name = "SCENARIO|FILE")]
    pub(crate) scenario: Option<String>,
    /// A vehicle file, for a scenario whose vehicle is not shipped.
    #[arg(long, value_name = "FILE")]
    pub(crate) vehicle: Option<PathBuf>,
    /// Which draw; without it the clock decides, in a script 1.
    #[arg(long, value_name = "N")]
    pub(crate) seed: Option<u64>,
    /// Take commands from a file, or from standard input with `-`.
    #[arg(long, value_name = "FILE|-")]
    pub(crate) script: Option<PathBuf>,
    /// Write the record to a new file.
    #[arg(long, value_name = "FILE", conflicts_with = "resume")]
    pub(crate) record: Option<PathBuf>,
    /// Go on with an attempt from its record.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["seed", "fault"])]
    pub(crate) resume: Option<PathBuf>,
    /// Choose the fault, or two joined by `+`, instead of drawing; such an attempt is not marked.
    #[arg(long, value_name = "COMPONENT.MODE[:SEVERITY]")]
    pub(crate) fault: Option<String>,
    /// How to answer.
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
    /// Plain lines: no colour, hints or completion, for screen readers.
    #[arg(long)]
    pub(crate) plain: bool,
}

/// Options of `lint`.
#[derive(Args, Debug)]
pub(crate) struct Lint {
    /// Files, and directories of which every `.toml` file is checked.
    #[arg(value_name = "FILE|DIR", required = true)]
    pub(crate) paths: Vec<PathBuf>,
    /// A vehicle file, for scenarios whose vehicle is nowhere else.
    #[arg(long, value_name = "FILE")]
    pub(crate) vehicle: Option<PathBuf>,
    /// How to answer.
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
    /// A sentence for each finding, for screen readers: no drawing, no colour.
    #[arg(long, conflicts_with = "format")]
    pub(crate) plain: bool,
}

/// What to begin.
#[derive(Debug, Subcommand)]
pub(crate) enum New {
    /// Write NAME.toml, a vehicle with two-speed wipers.
    #[command(after_help = "Example: groundside new vehicle yard-van")]
    Vehicle(Begun),
    /// Write NAME.toml, a scenario.
    #[command(after_help = "\
Example: groundside new scenario first-frost --vehicle yard-van")]
    Scenario {
        /// What is begun.
        #[command(flatten)]
        begun: Begun,
        /// The id of its vehicle.
        #[arg(long, value_name = "ID", default_value = "van-case-ground")]
        vehicle: String,
    },
}

/// A file that is begun.
#[derive(Args, Debug)]
pub(crate) struct Begun {
    /// Its id: lower-case letters and digits, words joined by hyphens.
    pub(crate) name: String,
    /// The directory it is written to; the one this is run in when left out.
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub(crate) to: PathBuf,
}

/// What to list.
#[derive(Debug, Subcommand)]
pub(crate) enum List {
    /// The shipped vehicles.
    #[command(after_help = "Example: groundside list vehicles")]
    Vehicles(Listing),
    /// The shipped scenarios.
    #[command(after_help = "Example: groundside list scenarios --format json")]
    Scenarios(Listing),
    /// The cautions that come before what can hurt, and what going on does.
    #[command(after_help = "Example: groundside list hazards --format json")]
    Hazards(Listing),
    /// The faults a vehicle can have.
    #[command(after_help = "Example: groundside list faults van-case-ground")]
    Faults {
        /// A vehicle's name, or a vehicle file.
        #[arg(value_name = "VEHICLE|FILE")]
        vehicle: String,
        /// How to answer.
        #[command(flatten)]
        listing: Listing,
    },
}

/// What to study.
#[derive(Debug, Subcommand)]
pub(crate) enum Study {
    /// Every fault by every check: which checks tell it from a sound vehicle, beyond noise.
    #[command(after_help = "\
Exit code 0: every fault is told by some check. 1: some are told by none; why is said.

Example: groundside study observability rain-on-the-quay --format json")]
    Observability(Observability),
    /// Simulated learners on the same draws: how well the mark tells their habits apart.
    #[command(after_help = "\
Exit code 0: the marks tell them apart as they should. 1: they fall short; where is said.

Example: groundside study separation --draws 60 --keep plays.jsonl")]
    Separation(SeparationOptions),
    /// What is believed after the checks that tell most, beside what is so: whether the belief keeps its word.
    #[command(after_help = "\
Exit code 0: the belief keeps its word. 1: it does not; where is said.

Example: groundside study calibration rain-on-the-quay --draws 1000")]
    Calibration(CalibrationOptions),
}

/// Options of `study calibration`.
#[derive(Args, Debug)]
pub(crate) struct CalibrationOptions {
    /// Scenarios by name or file; one for each kind of vehicle where none is named.
    #[arg(value_name = "SCENARIO|FILE")]
    pub(crate) scenarios: Vec<String>,
    /// A vehicle file, for a scenario whose vehicle is not shipped.
    #[arg(long, value_name = "FILE")]
    pub(crate) vehicle: Option<PathBuf>,
    /// Draws of each scenario, from seed 1 on.
    #[arg(long, default_value_t = 1000, value_parser = clap::value_parser!(u32).range(1..=100_000))]
    pub(crate) draws: u32,
    /// Draw every fault as often as every other, whatever the belief holds of how often they come.
    #[arg(long)]
    pub(crate) uniform: bool,
    /// How to answer.
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
}

/// Options of `study separation`.
#[derive(Args, Debug)]
pub(crate) struct SeparationOptions {
    /// Scenarios by name or file; one for each kind of vehicle where none is named.
    #[arg(value_name = "SCENARIO|FILE")]
    pub(crate) scenarios: Vec<String>,
    /// A vehicle file, for a scenario whose vehicle is not shipped.
    #[arg(long, value_name = "FILE")]
    pub(crate) vehicle: Option<PathBuf>,
    /// Draws of each scenario, from seed 1 on.
    #[arg(long, default_value_t = 60, value_parser = clap::value_parser!(u32).range(2..=1000))]
    pub(crate) draws: u32,
    /// Keep plays in this file as they come, and go on with those that it has.
    #[arg(long, value_name = "FILE")]
    pub(crate) keep: Option<PathBuf>,
    /// How to answer.
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
}

/// Options of `study observability`.
#[derive(Args, Debug)]
pub(crate) struct Observability {
    /// A scenario's name, or a scenario file: its vehicle, glass and helper.
    #[arg(value_name = "SCENARIO|FILE")]
    pub(crate) scenario: Option<String>,
    /// A vehicle file, for a scenario whose vehicle is not shipped.
    #[arg(long, value_name = "FILE")]
    pub(crate) vehicle: Option<PathBuf>,
    /// How to answer.
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
}

/// Options of every list.
#[derive(Args, Clone, Copy, Debug)]
pub(crate) struct Listing {
    /// How to answer.
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
}

/// Options of `show`.
#[derive(Args, Debug)]
pub(crate) struct Show {
    /// A vehicle's name, or a vehicle file.
    #[arg(value_name = "VEHICLE|FILE")]
    pub(crate) vehicle: String,
    /// Show only components of this kind.
    #[arg(long, value_name = "KIND")]
    pub(crate) kind: Option<String>,
    /// How to answer.
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
}

/// An operating point.
#[derive(Args, Debug)]
pub(crate) struct Point {
    /// A vehicle's name, or a vehicle file.
    #[arg(value_name = "VEHICLE|FILE")]
    pub(crate) vehicle: String,
    /// A fault, or two joined by `+`; a severity left out is the median.
    #[arg(long, value_name = "COMPONENT.MODE[:SEVERITY]")]
    pub(crate) fault: Option<String>,
    /// Position of the ignition key.
    #[arg(long, value_name = "POSITION")]
    pub(crate) key: Option<String>,
    /// Position of the wiper switch.
    #[arg(long, value_name = "POSITION")]
    pub(crate) wiper: Option<String>,
    /// Position of any control, as CONTROL=POSITION.
    #[arg(long = "set", value_name = "CONTROL=POSITION")]
    pub(crate) set: Vec<String>,
    /// Crank angle from the line crank centre to pivot, degrees; at rest when left out.
    #[arg(long, value_name = "DEG", allow_negative_numbers = true)]
    pub(crate) crank: Option<f64>,
    /// Angle of the motor's shaft, degrees, which decides whether a worn brush is lifted and where a broken coil stands.
    #[arg(long, value_name = "DEG", allow_negative_numbers = true)]
    pub(crate) shaft: Option<f64>,
    /// A breaker that has tripped or a link that has melted.
    #[arg(long, value_name = "BREAKER")]
    pub(crate) trip: Vec<String>,
    /// The shaft is held still.
    #[arg(long, conflicts_with = "running")]
    pub(crate) held: bool,
    /// The shaft turns as fast as its load lets it (this is the default).
    #[arg(long)]
    pub(crate) running: bool,
    /// Unplug a connector.
    #[arg(long, value_name = "CONNECTOR")]
    pub(crate) unplug: Vec<String>,
    /// Put a voltmeter between two points.
    #[arg(long, num_args = 2, value_names = ["POINT", "POINT"], action = clap::ArgAction::Append)]
    pub(crate) volts: Vec<String>,
    /// The glass: dry, wet or streaming.
    #[arg(long, value_name = "GLASS", default_value = "wet")]
    pub(crate) glass: String,
}

/// Options of `solve`.
#[derive(Args, Debug)]
pub(crate) struct Solve {
    /// The operating point.
    #[command(flatten)]
    pub(crate) point: Point,
    /// How to answer.
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
}

/// A record, and the files it needs when they are not the shipped ones.
#[derive(Args, Debug)]
pub(crate) struct Record {
    /// The record.
    #[arg(value_name = "RECORD")]
    pub(crate) record: PathBuf,
    /// The scenario's file, when it is not a shipped one.
    #[arg(long, value_name = "FILE")]
    pub(crate) scenario: Option<PathBuf>,
    /// The vehicle's file, when it is not a shipped one.
    #[arg(long, value_name = "FILE")]
    pub(crate) vehicle: Option<PathBuf>,
}

/// Options of `debrief`.
#[derive(Args, Debug)]
pub(crate) struct Debrief {
    /// The record.
    #[command(flatten)]
    pub(crate) record: Record,
    /// How to answer.
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
}
