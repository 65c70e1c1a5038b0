//! Runs the harness and prints its table.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a program for people to run"
)]

use std::process::ExitCode;
use std::time::Instant;

use clap::Parser;
use groundside_tests::determinism;
use groundside_tests::ledger::{Ledger, Scope};
use groundside_tests::spice;
use groundside_tests::truth::{BLOCKS, Block, Outcome, TABLE_HEAD, complaints};

/// Holds the engine against what is outside it, block by block, and prints counts and worst disagreements.
/// Exits with 1 when a bound is broken or a check could not be made.
#[derive(Debug, Parser)]
struct Arguments {
    /// How much of each space to go through.
    #[arg(long, value_enum, default_value = "sweep")]
    scope: ScopeWord,
    /// Only these blocks.
    #[arg(value_name = "BLOCK")]
    blocks: Vec<String>,
    /// Each check by itself, with its sources.
    #[arg(long)]
    each: bool,
    /// Ask ngspice for the answers that are kept in tests/reference, and do nothing else.
    #[arg(long)]
    write_tables: bool,
    /// Keep the digests of records and marks as they come out now, and do nothing else.
    #[arg(long)]
    write_digests: bool,
    /// Be content without the circuit simulator.
    #[arg(long)]
    without_ngspice: bool,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum ScopeWord {
    Sample,
    Sweep,
    Full,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    if arguments.write_tables || arguments.write_digests {
        return match write(&arguments) {
            Ok(()) => ExitCode::SUCCESS,
            Err(error) => {
                eprintln!("error: {error}");
                ExitCode::from(2)
            }
        };
    }
    let scope = match arguments.scope {
        ScopeWord::Sample => Scope::Sample,
        ScopeWord::Sweep => Scope::Sweep,
        ScopeWord::Full => Scope::Full,
    };
    for name in &arguments.blocks {
        if !BLOCKS.iter().any(|block| block.name == name) {
            let known: Vec<&str> = BLOCKS.iter().map(|block| block.name).collect();
            eprintln!("no block `{name}`; there are {}", known.join(", "));
            return ExitCode::from(2);
        }
    }
    let wanted = |block: &&Block| {
        arguments.blocks.is_empty() || arguments.blocks.iter().any(|name| name == block.name)
    };
    println!("{TABLE_HEAD}");
    let mut broken = String::new();
    let mut times = Vec::new();
    let mut all_made = true;
    for block in BLOCKS.iter().filter(wanted) {
        let outcome = run(block, scope);
        println!("{}", outcome.row());
        if arguments.each {
            each(&outcome);
        }
        times.push(format!(
            "{} {:.1} s",
            block.name,
            outcome.took.as_secs_f64()
        ));
        broken.push_str(&complaints(&outcome));
        all_made &= arguments.without_ngspice || outcome.skipped().is_none();
    }
    println!("\nTime: {}.", times.join(", "));
    if !broken.is_empty() {
        eprint!("\n{broken}");
    }
    if !all_made {
        eprintln!("\nNot every check could be made; --without-ngspice is content with that.");
    }
    ExitCode::from(u8::from(!broken.is_empty() || !all_made))
}

fn write(arguments: &Arguments) -> std::io::Result<()> {
    if arguments.write_tables {
        spice::sweep::write_table()?;
        spice::speed::write_table()?;
        spice::transient::write_table()?;
        spice::by_hand::write_table()?;
    }
    if arguments.write_digests {
        determinism::write_digests()?;
    }
    Ok(())
}

fn run(block: &Block, scope: Scope) -> Outcome {
    let started = Instant::now();
    let checks = block.checks.iter().flat_map(|list| list.iter());
    let ledgers = checks.map(|check| {
        let mut ledger = Ledger::of(scope);
        (check.run)(&mut ledger);
        if ledger.comparisons() == 0 && ledger.skipped().is_none() {
            ledger.fail("nothing was compared");
        }
        (check.name, ledger)
    });
    Outcome {
        block: *block,
        ledgers: ledgers.collect(),
        took: started.elapsed(),
    }
}

/// The checks of a block, a line each, and what each was held against.
fn each(outcome: &Outcome) {
    for (name, ledger) in &outcome.ledgers {
        println!("  {name}: {} comparisons", ledger.comparisons());
        if let Some(worst) = ledger.worst() {
            println!(
                "    worst, {:.1} % of its bound: {}: {:e} where {:e} +/- {:.1e} is expected",
                100.0 * worst.share(),
                worst.what,
                worst.found,
                worst.expected,
                worst.bound
            );
        }
        for (known, source) in ledger.sources() {
            println!("    {}: {source}", known.words());
        }
    }
}
