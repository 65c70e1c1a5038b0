//! What is told at the end: marks, what was wrong, what each check told, what would have proved it.

use groundside_engine::attempt::Attempt;
use groundside_engine::marking::{CheckLine, Debrief, Score, weights};
use groundside_engine::vehicle::{Fault, Region, Vehicle};
use groundside_engine::world::{Action, Verdict};
use serde::Serialize;
use serde_json::{Value, json};

use super::event;
use crate::style::{Page, Tone, listed, sentence};

/// The whole debrief.
pub(crate) fn page(debrief: &Debrief, attempt: &Attempt) -> Page {
    let vehicle: &Vehicle = &attempt.assignment().sound;
    let mut page = Page::default();
    verdict(&mut page, debrief, vehicle);
    marks(&mut page, debrief, attempt);
    checks(&mut page, debrief, vehicle);
    route(&mut page, debrief);
    hand_over(&mut page, debrief);
    page
}

/// A fault in plain words: `wiper motor, low brush worn, 2.3 ohm`.
fn in_words(fault: &Fault, vehicle: &Vehicle) -> String {
    let component = vehicle.component(fault.component);
    let mode = vehicle.mode(fault);
    let words = format!(
        "{}: {}",
        component.title,
        mode.name.as_str().replace('-', " ")
    );
    match (fault.severity, mode.severity) {
        (Some(severity), Some(law)) => format!("{words}, {severity} {}", law.unit.told()),
        _ => words,
    }
}

/// What was wrong, or that nothing was, as a sentence.
fn what_was(fault: &Fault, region: Region, vehicle: &Vehicle) -> String {
    let words = in_words(fault, vehicle);
    match region {
        Region::NoFault => format!("What was wrong: no fault; {words}."),
        region => format!("What was wrong: {words} ({}).", region.word()),
    }
}

fn verdict_name(verdict: Verdict, vehicle: &Vehicle) -> String {
    let words = Action::Conclude(verdict).words(vehicle);
    words.strip_prefix("conclude ").unwrap_or(&words).to_owned()
}

fn verdict(page: &mut Page, debrief: &Debrief, vehicle: &Vehicle) {
    page.add(
        Tone::Strong,
        what_was(&debrief.fault, debrief.region, vehicle),
    );
    if let Some(second) = &debrief.second {
        let text = what_was(&second.fault, second.region, vehicle);
        page.add(
            Tone::Strong,
            format!("Besides, {}", text.replacen("What", "what", 1)),
        );
    }
    let said = debrief.verdict.map_or_else(
        || "You concluded nothing".to_owned(),
        |verdict| format!("You concluded {}", verdict_name(verdict, vehicle)),
    );
    let condition = debrief.region == Region::NoFault && debrief.second.is_none();
    let cured = match (debrief.cured, condition) {
        (true, true) => "the driver knows what it was",
        (true, false) => "the vehicle works again",
        (false, true) => "the driver will be back",
        (false, false) => "the vehicle was not put right",
    };
    page.add(
        Tone::Plain,
        format!("{said}: {}; {cured}.", debrief.level.word()),
    );
}

fn marks(page: &mut Page, debrief: &Debrief, attempt: &Attempt) {
    page.add(Tone::Plain, "");
    match &debrief.score {
        Some(score) => {
            let Score {
                correctness,
                order,
                time,
                safety,
                hand_over,
                total,
            } = *score;
            page.add(
                Tone::Strong,
                format!("Correctness {correctness:.0}   order {order:.0}   time {time:.0}   safety {safety:.0}   hand-over {hand_over:.0}"),
            );
            let band = debrief
                .band
                .map_or_else(String::new, |band| format!(", {band}"));
            page.add(
                Tone::Strong,
                format!(
                    "Total {total:.0} of 100{band}   (time {:.0} %, order {:.0} %, correctness {:.0} %, less what was unsafe or not seen)",
                    weights::TIME * 100.0,
                    weights::ORDER * 100.0,
                    weights::CORRECTNESS * 100.0
                ),
            );
            if let Some(cap) = debrief.cap {
                page.add(Tone::Caution, format!("The total is held down: {cap}."));
            }
        }
        None if attempt.assignment().chosen.is_some() => {
            page.add(Tone::Plain, "Not marked: the fault was chosen, not drawn.");
        }
        None => page.add(Tone::Plain, "Not marked: the attempt was given up."),
    }
    page.add(
        Tone::Plain,
        format!(
            "{} min used. Decisions were likely to cost {} min more than needed, by what was known when \
             they were made; luck is left out. Par is {} min: what the rule of most told per minute needs \
             on this very vehicle, repair and seeing to it included.",
            debrief.minutes, debrief.lost, debrief.par
        ),
    );
}

/// What a check that was not made was likely to tell, in words.
fn would_have(bits: f64) -> &'static str {
    match bits {
        bits if bits < 0.4 => "would have told a little",
        bits if bits < 0.8 => "would have ruled out a part",
        bits if bits < 1.3 => "would have halved the doubt",
        bits if bits < 2.3 => "would have left a quarter of the doubt",
        bits if bits < 3.3 => "would have left an eighth of the doubt",
        _ => "would have left almost no doubt",
    }
}

/// Bits, of which each halves the doubt, in words. The number of repairs in question is another thing: a check
/// that leaves many may still make one of them likely.
fn told(bits: f64) -> &'static str {
    match bits {
        bits if bits < weights::REDUNDANT_BITS => "told nothing new",
        bits if bits < 0.4 => "told a little",
        bits if bits < 0.8 => "ruled out a part",
        bits if bits < 1.3 => "halved the doubt",
        bits if bits < 2.3 => "left a quarter of the doubt",
        bits if bits < 3.3 => "left an eighth of the doubt",
        _ => "left almost no doubt",
    }
}

fn checks(page: &mut Page, debrief: &Debrief, vehicle: &Vehicle) {
    let shown = |line: &&CheckLine| line.is_check || line.is_repair || !line.hazards.is_empty();
    let lines: Vec<&CheckLine> = debrief.lines.iter().filter(shown).collect();
    if lines.is_empty() {
        return;
    }
    page.add(Tone::Plain, "");
    page.add(
        Tone::Strong,
        "Check by check: minutes, what it told, repairs likelier than 1 % before and after",
    );
    for line in lines {
        let [before, after] = line.suspects;
        let action = line.action.replace("battery.neg", "bat-");
        let mut text = format!(
            "{:>3} {:<34} {:>5}",
            line.n,
            action,
            line.minutes.to_string()
        );
        if line.is_repair {
            let chance = line.repair_chance.unwrap_or(0.0) * 100.0;
            text.push_str(&format!("  a repair, {chance:.0} % sure by then"));
        } else if line.confirms {
            text.push_str(&format!("  confirmed it, {before} to {after}"));
        } else if line.verifies {
            text.push_str("  saw to the repair");
        } else if line.is_check {
            text.push_str(&format!("  {}, {before} to {after}", told(line.bits)));
        }
        page.hanging(Tone::Plain, text, "      ");
        if let Some(better) = &line.better {
            page.hanging(
                Tone::Quiet,
                format!(
                    "      better: {} ({}, {} min)",
                    better.check,
                    would_have(better.bits),
                    better.minutes
                ),
                "        ",
            );
        }
        if !line.hazards.is_empty() {
            let what = event::hazards_done(&line.hazards);
            page.hanging(Tone::Caution, format!("      unsafe: {what}"), "        ");
        }
    }
    let suspects: Vec<String> = debrief
        .suspects
        .iter()
        .map(|suspect| format!("{} {:.0} %", suspect.fault, suspect.belief * 100.0))
        .collect();
    if !suspects.is_empty() {
        page.hanging(
            Tone::Plain,
            format!("By your readings in the end: {}.", suspects.join(", ")),
            "  ",
        );
    }
    if !debrief.needless_repairs.is_empty() {
        let names: Vec<&str> = debrief
            .needless_repairs
            .iter()
            .map(|id| vehicle.component(*id).id.as_str())
            .collect();
        page.add(
            Tone::Plain,
            format!("Repaired though sound: {}.", listed(&names, "and")),
        );
    }
}

fn route(page: &mut Page, debrief: &Debrief) {
    if debrief.route.is_empty() {
        return;
    }
    page.add(Tone::Plain, "");
    page.add(
        Tone::Strong,
        "A cheap way to prove it: minutes, reading here, reading on a sound vehicle",
    );
    for (index, step) in debrief.route.iter().enumerate() {
        let one = if step.suspects == 1 {
            "repair"
        } else {
            "repairs"
        };
        page.hanging(
            Tone::Plain,
            format!(
                "{:>3} {} ({} min): {}; sound: {}; leaves {} {one}",
                index + 1,
                step.check,
                step.minutes,
                step.here,
                step.sound,
                step.suspects
            ),
            "      ",
        );
    }
}

fn hand_over(page: &mut Page, debrief: &Debrief) {
    let mut parts: Vec<String> = debrief.write_up.iter().map(|part| sentence(part)).collect();
    if !debrief.not_seen.is_empty() {
        parts.push(format!(
            "Not seen after the last repair: {}",
            debrief.not_seen.join(", ")
        ));
    }
    if parts.is_empty() && debrief.score.is_none() {
        return;
    }
    page.add(Tone::Plain, "");
    page.add(Tone::Strong, "Hand-over");
    for part in parts {
        page.hanging(
            Tone::Plain,
            format!("  {}.", part.trim_end_matches('.')),
            "    ",
        );
    }
    page.hanging(
        Tone::Plain,
        format!(
            "  What was seen would have shown {:.0} % of what could still be wrong.",
            (debrief.coverage * 100.0).max(0.0)
        ),
        "    ",
    );
    if let Some(score) = &debrief.score {
        page.hanging(
            Tone::Quiet,
            format!(
                "  Hand-over {:.0}: {:.0} % is that share, {:.0} % complaint, cause and correction, of which a \
                 third is lost for each that does not fit. It is no part of the total; what was not seen is \
                 taken off there.",
                score.hand_over,
                weights::HAND_OVER_SEEN * 100.0,
                (1.0 - weights::HAND_OVER_SEEN) * 100.0
            ),
            "    ",
        );
    }
}

/// The marks as written in JSON.
#[derive(Serialize)]
struct Marks {
    correctness: f64,
    order: f64,
    time: f64,
    safety: f64,
    hand_over: f64,
    total: f64,
}

impl From<&Score> for Marks {
    fn from(score: &Score) -> Self {
        let Score {
            correctness,
            order,
            time,
            safety,
            hand_over,
            total,
        } = *score;
        Self {
            correctness,
            order,
            time,
            safety,
            hand_over,
            total,
        }
    }
}

/// The last line of a practice in JSON.
#[derive(Serialize)]
pub(crate) struct Ending {
    result: Outcome,
}

#[derive(Serialize)]
struct Outcome {
    verdict: Option<&'static str>,
    score: Option<Marks>,
    minutes: f64,
}

impl Ending {
    /// That of an attempt that was marked.
    pub(crate) fn of(debrief: &Debrief) -> Self {
        Self {
            result: Outcome {
                verdict: Some(debrief.level.word()),
                score: debrief.score.as_ref().map(Marks::from),
                minutes: debrief.minutes.as_minutes(),
            },
        }
    }

    /// That of an attempt that goes on later.
    pub(crate) fn open(minutes: f64) -> Self {
        Self {
            result: Outcome {
                verdict: None,
                score: None,
                minutes,
            },
        }
    }
}

/// The whole debrief, as JSON.
pub(crate) fn document(debrief: &Debrief, vehicle: &Vehicle) -> Value {
    let lines: Vec<Value> = debrief.lines.iter().map(line_json).collect();
    let route: Vec<Value> = debrief
        .route
        .iter()
        .map(|step| {
            json!({
                "check": step.check, "minutes": step.minutes.as_minutes(), "here": step.here,
                "sound": step.sound, "suspects": step.suspects,
            })
        })
        .collect();
    let suspects: Vec<Value> = debrief
        .suspects
        .iter()
        .map(|suspect| json!({"fault": suspect.fault, "belief": suspect.belief}))
        .collect();
    let needless: Vec<&str> = debrief
        .needless_repairs
        .iter()
        .map(|id| vehicle.component(*id).id.as_str())
        .collect();
    json!({
        "second": debrief.second.as_ref().map(|second| json!({
            "fault": second.fault_name, "region": second.region.word(), "verdict": second.level.word(),
        })),
        "fault": debrief.fault_name, "region": debrief.region.word(), "symptom": debrief.symptom.word(),
        "concluded": debrief.verdict.map(|verdict| verdict_name(verdict, vehicle)),
        "verdict": debrief.level.word(), "cured": debrief.cured, "needless_repairs": needless,
        "score": debrief.score.as_ref().map(Marks::from), "cap": debrief.cap, "band": debrief.band,
        "par": debrief.par.as_minutes(), "minutes": debrief.minutes.as_minutes(),
        "lost": debrief.lost.as_minutes(), "suspects": suspects, "coverage": debrief.coverage,
        "not_seen": debrief.not_seen, "write_up": debrief.write_up, "lines": lines, "route": route,
    })
}

fn line_json(line: &CheckLine) -> Value {
    let better = line.better.as_ref().map(|better| {
        json!({"check": better.check, "bits": better.bits, "minutes": better.minutes.as_minutes()})
    });
    let hazards: Vec<&str> = line.hazards.iter().map(|hazard| hazard.word()).collect();
    json!({
        "n": line.n, "action": line.action, "minutes": line.minutes.as_minutes(),
        "is_check": line.is_check, "is_repair": line.is_repair,
        "confirms": line.confirms, "verifies": line.verifies,
        "expected_bits": line.expected_bits, "bits": line.bits, "suspects": line.suspects,
        "lost": line.lost.as_minutes(), "efficiency": line.efficiency, "better": better,
        "repair_chance": line.repair_chance, "hazards": hazards,
    })
}
