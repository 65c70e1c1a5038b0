//! The table of faults and checks: what tells a fault from a sound vehicle.

use groundside_engine::marking::{FaultRow, Observability};
use serde::Serialize;

use crate::style::{Page, Tone};

/// Checks named for each fault; the others are counted.
const NAMED: usize = 2;

/// The table for people: for each fault how many checks tell it, and the most telling.
pub(crate) fn page(table: &Observability) -> Page {
    let mut page = Page::default();
    page.add(
        Tone::Strong,
        format!(
            "{} faults, those with a severity at three, by {} checks.",
            table.faults.len(),
            table.checks.len()
        ),
    );
    page.add(
        Tone::Quiet,
        "A check tells a fault when its reading is more than 3 standard deviations from a sound vehicle's; \
         the noise of reading and what sound vehicles differ by are both counted.",
    );
    for row in &table.faults {
        page.add(
            Tone::Plain,
            format!("{}: {} checks tell it", row.fault, row.told_by.len()),
        );
        for &(check, sd) in row.told_by.iter().take(NAMED) {
            page.hanging(
                Tone::Quiet,
                format!("  {} ({})", table.checks[check], deviations(sd)),
                "    ",
            );
        }
    }
    page.add(Tone::Plain, "");
    page.add(
        Tone::Plain,
        format!("{} groups that some check tells apart.", table.groups()),
    );
    let latent = table.latent();
    if latent.is_empty() {
        page.add(Tone::Strong, "Every fault is told by some check.");
        return page;
    }
    page.add(Tone::Strong, "Told by no check at any severity tried:");
    for stem in latent {
        let rows = table.faults.iter().filter(|row| row.stem == stem);
        let nearest = rows.filter_map(|row| row.nearest.map(|nearest| (row, nearest)));
        let nearest = nearest.max_by(|(_, a), (_, b)| a.1.total_cmp(&b.1));
        page.hanging(Tone::Plain, reason(stem, nearest, table), "  ");
    }
    page
}

/// Why a fault is not told: how little the most telling check makes of it.
fn reason(stem: &str, nearest: Option<(&FaultRow, (usize, f64))>, table: &Observability) -> String {
    match nearest {
        Some((row, (check, sd))) if sd > 0.05 => format!(
            "{stem}: at most {} ({}, {})",
            deviations(sd),
            row.fault,
            table.checks[check]
        ),
        _ => format!("{stem}: it changes nothing that can be read in any of these checks"),
    }
}

fn deviations(sd: f64) -> String {
    if sd < 10.0 {
        format!("{sd:.1} sd")
    } else {
        format!("{:.0} sd", sd.min(999.0))
    }
}

/// The table for programs.
#[derive(Serialize)]
pub(crate) struct Table<'t> {
    checks: &'t [String],
    faults: Vec<Row<'t>>,
    latent: Vec<Latent<'t>>,
}

#[derive(Serialize)]
struct Row<'t> {
    fault: &'t str,
    region: &'static str,
    told_by: Vec<Told>,
}

#[derive(Serialize)]
struct Told {
    /// Position among the checks.
    check: usize,
    standard_deviations: f64,
}

#[derive(Serialize)]
struct Latent<'t> {
    fault: &'t str,
    reason: String,
}

impl<'t> Table<'t> {
    pub(crate) fn of(table: &'t Observability) -> Self {
        let told = |&(check, sd): &(usize, f64)| Told {
            check,
            standard_deviations: (sd * 10.0).round() / 10.0,
        };
        let latent = |stem: &'t str| {
            let rows = table.faults.iter().filter(|row| row.stem == stem);
            let nearest = rows.filter_map(|row| row.nearest.map(|nearest| (row, nearest)));
            let nearest = nearest.max_by(|(_, a), (_, b)| a.1.total_cmp(&b.1));
            Latent {
                fault: stem,
                reason: reason(stem, nearest, table),
            }
        };
        Self {
            checks: &table.checks,
            faults: table
                .faults
                .iter()
                .map(|row| Row {
                    fault: &row.fault,
                    region: row.region.word(),
                    told_by: row.told_by.iter().map(told).collect(),
                })
                .collect(),
            latent: table.latent().into_iter().map(latent).collect(),
        }
    }
}
