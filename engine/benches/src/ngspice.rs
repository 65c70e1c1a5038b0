//! Operating points by ngspice, where it is installed: one resistor is swept, so that every point is one after a change, and
//! neither starting the program nor reading the deck is in the time of one.
//!
//! The deck is the quickest for it: resistors, and sources as currents, so that its matrix is that of the
//! nodes alone. It is not the one to get right answers with where insulation stands beside joints: the decks that `netlist` prints
//! have a current for each branch as well, and take longer.

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::process::Command;

use groundside_engine::network::Network;

use crate::timing::processor_of_others;

/// Points of the short and the long sweep.
const POINTS: [u32; 2] = [1_000, 41_000];

/// What one point of a sweep takes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Point {
    /// Seconds of processor, so that it does not count how often others had their turn meanwhile; on the wall where the
    /// system does not tell.
    pub(crate) seconds: f64,
    /// The share of loading, factoring and solving its matrix, twice a point: ngspice iterates to see that nothing changes.
    pub(crate) matrix: f64,
}

/// What a whole sweep takes, seconds; of its matrix, as ngspice tells it.
struct Sweep {
    processor: f64,
    analysis: f64,
    matrix: f64,
}

/// The version, as ngspice gives it; `None` where it is not installed.
pub(crate) fn version() -> Option<String> {
    let output = Command::new("ngspice").arg("--version").output().ok()?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    text.split_whitespace()
        .find(|word| word.starts_with("ngspice-"))
        .map(str::to_owned)
}

/// Seconds a point as one branch is swept, from sweeps of different length; `None` where ngspice is not installed.
pub(crate) fn seconds_a_point(
    network: &Network,
    swept: usize,
) -> Result<Option<Point>, Box<dyn Error>> {
    if version().is_none() {
        return Ok(None);
    }
    let [short, long] = POINTS.map(|points| sweep(network, swept, points));
    let (short, long) = (short?, long?);
    let points = f64::from(POINTS[1] - POINTS[0]);
    Ok(Some(Point {
        seconds: (long.processor - short.processor) / points,
        matrix: long.matrix / long.analysis,
    }))
}

fn sweep(network: &Network, swept: usize, points: u32) -> Result<Sweep, Box<dyn Error>> {
    let mut deck = String::from("* operating points\n");
    for (index, branch) in network.branches().iter().enumerate() {
        let (p, n) = (branch.p.index(), branch.n.index());
        let siemens = branch.conductance.siemens();
        writeln!(deck, "R{index} {p} {n} {:e}", 1.0 / siemens)?;
        let amperes = siemens * branch.emf.volts();
        if amperes != 0.0 {
            writeln!(deck, "I{index} {n} {p} {amperes:e}")?;
        }
    }
    let ohms = 1.0 / network.branches()[swept].conductance.siemens();
    let last = ohms * (f64::from(points) + 0.5);
    writeln!(
        deck,
        ".options gmin=1e-30\n.control\nsave v(1)\ndc R{swept} {ohms:e} {last:e} {ohms:e}\n\
         rusage all\nquit\n.endc\n.end"
    )?;
    let path = std::env::temp_dir().join(format!("groundside-benches-{}.cir", std::process::id()));
    fs::write(&path, deck)?;
    let before = processor_of_others();
    let output = Command::new("ngspice").arg("-b").arg(&path).output();
    let after = processor_of_others();
    fs::remove_file(&path)?;
    let text = String::from_utf8_lossy(&output?.stdout).into_owned();
    let told = |name: &str| -> Result<f64, Box<dyn Error>> {
        let line = text.lines().find_map(|line| {
            let (of, value) = line.split_once(" = ")?;
            (of == name).then_some(value)
        });
        Ok(line
            .ok_or_else(|| format!("ngspice does not tell its {name}: {text}"))?
            .trim()
            .parse()?)
    };
    let rows = text
        .lines()
        .find_map(|line| line.strip_prefix("No. of Data Rows : "));
    if rows.and_then(|rows| rows.trim().parse().ok()) != Some(points) {
        return Err(format!("ngspice did not make {points} points: {text}").into());
    }
    let analysis = told("Total analysis time (seconds)")?;
    let spent = before.zip(after).map(|(before, after)| after - before);
    Ok(Sweep {
        processor: spent.map_or(analysis, |spent| spent.as_secs_f64()),
        analysis,
        matrix: told("Matrix load time")?
            + told("Matrix reorder time")?
            + told("Matrix factor time")?
            + told("Matrix solve time")?,
    })
}
