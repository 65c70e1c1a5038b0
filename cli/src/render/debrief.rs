//! What is told at the end: in the head the mark, what was wrong and what cost most; then the marks, the minutes, what
//! each check told, what would have proved it, and the hand-over, each under its heading.

use groundside_engine::attempt::Attempt;
use groundside_engine::marking::{Better, CheckLine, Debrief, Score, VerdictLevel, weights};
use groundside_engine::quantity::Minutes;
use groundside_engine::vehicle::{ComponentId, Fault, Region, Vehicle};
use groundside_engine::world::{Action, Verdict};

use super::event::what_is_left;
pub(crate) use super::marks::{Ending, document};
use super::route::repair_in_words;
use super::worth::{better_in_words, is_told_by_the_way, worth};
use super::{cautions, costly, hint, minutes, route, swaps};
use crate::style::{Page, Tone, listed, sentence};

/// The whole debrief.
pub(crate) fn page(debrief: &Debrief, attempt: &Attempt) -> Page {
    let vehicle: &Vehicle = &attempt.assignment().sound;
    let mut page = Page::default();
    total(&mut page, debrief, attempt);
    verdict(&mut page, debrief, vehicle);
    handed_over_apart(&mut page, debrief, attempt);
    costly::costly(&mut page, debrief, attempt);
    marks(&mut page, debrief);
    minutes::account(&mut page, debrief, attempt);
    checks(&mut page, debrief, attempt);
    route::route(&mut page, debrief);
    hint::suspicions(&mut page, debrief);
    suspected_late(&mut page, debrief);
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

pub(super) fn verdict_name(verdict: Verdict, vehicle: &Vehicle) -> String {
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
    let Some(second) = &debrief.second else {
        page.add(
            Tone::Plain,
            format!("{said}: {}; {cured}.", debrief.level.word()),
        );
        return;
    };
    page.add(Tone::Plain, format!("{said}; {cured}."));
    let both = [
        (&debrief.fault, debrief.main_level, debrief.main_put_right),
        (&second.fault, second.level, second.put_right),
    ];
    for (fault, level, put_right) in both {
        let found = match level {
            VerdictLevel::Wrong => "was never found".to_owned(),
            level => format!("named, {}", level.word()),
        };
        let put_right = if put_right {
            "put right"
        } else {
            "not put right"
        };
        let name = in_words(fault, vehicle);
        page.add(Tone::Plain, format!("  {name}: {found}; {put_right}."));
    }
}

/// What was apart or off when a vehicle was handed over that does not work: that alone may be why.
fn handed_over_apart(page: &mut Page, debrief: &Debrief, attempt: &Attempt) {
    let last = attempt.events().last().filter(|_| !debrief.cured);
    let handed_over = last.filter(|event| matches!(event.action, Action::HandOver(_)));
    let vehicle = &attempt.assignment().sound;
    if let Some(left) = handed_over.and_then(|event| what_is_left(&event.bench, vehicle)) {
        page.add(
            Tone::Caution,
            format!("It was handed over like this: {left}."),
        );
    }
    if let Some(text) = handed_over.and_then(|_| swaps::went_back(attempt)) {
        page.add(Tone::Caution, text);
    }
}

/// The mark, or why there is none.
fn total(page: &mut Page, debrief: &Debrief, attempt: &Attempt) {
    let Some(score) = &debrief.score else {
        let why = match attempt.assignment().chosen {
            Some(_) => "Not marked: the fault was chosen, not drawn.",
            None if attempt.bench().coached => "Not marked: it was coached.",
            None => "Not marked: the attempt was given up.",
        };
        page.add(Tone::Plain, why);
        return;
    };
    let band = debrief
        .band
        .map_or_else(String::new, |band| format!(", {band}"));
    page.add(
        Tone::Strong,
        format!("Total {:.0} of 100{band}.", score.total),
    );
    if let Some(cap) = debrief.cap {
        page.add(Tone::Caution, format!("The total is held down: {cap}."));
        if cap == weights::NOT_PUT_RIGHT {
            page.add(Tone::Quiet, held_to());
        }
    }
}

/// What the total of a vehicle that was not put right is held to.
fn held_to() -> String {
    let held = |level: VerdictLevel| {
        let most = weights::UNCURED_CAP * level.kinship();
        format!("{} {most:.0}", level.word())
    };
    let levels = [
        VerdictLevel::Exact,
        VerdictLevel::RightRepair,
        VerdictLevel::RightComponent,
        VerdictLevel::RightRegion,
    ];
    format!(
        "It is then no more than your conclusion is worth, guessed or proven: {}, wrong or none 0.",
        levels.map(held).join(", ")
    )
}

fn marks(page: &mut Page, debrief: &Debrief) {
    let Some(score) = &debrief.score else { return };
    let Score {
        correctness,
        concluded,
        founded,
        order,
        time,
        safety,
        hand_over,
        unsafe_points,
        unseen_points,
        ..
    } = *score;
    page.add(Tone::Plain, "");
    page.add(Tone::Strong, "Marks, each of 100");
    page.add(
        Tone::Plain,
        format!("Correctness {correctness:.0}   order {order:.0}   time {time:.0}   safety {safety:.0}   hand-over {hand_over:.0}"),
    );
    page.add(
        Tone::Plain,
        format!(
            "In the total are time {:.0} %, order {:.0} %, correctness {:.0} %{}.",
            weights::TIME * 100.0,
            weights::ORDER * 100.0,
            weights::CORRECTNESS * 100.0,
            taken_off(unsafe_points, unseen_points)
        ),
    );
    let chances = debrief.lines.iter().filter_map(|line| line.repair_chance);
    let least = chances.reduce(f64::min);
    let why = match least {
        None => ", as there was none",
        Some(chance) if chance < weights::PROVEN && founded > 99.5 => {
            ", in full as no check was worth its minutes any more"
        }
        Some(_) => "",
    };
    page.hanging(Tone::Quiet, minutes::time(debrief, score), "  ");
    page.hanging(Tone::Quiet, minutes::order(debrief, score), "  ");
    page.hanging(
        Tone::Quiet,
        format!(
            "Correctness is half what you concluded ({concluded:.0}), half how sure your readings made the repair \
             when you ordered it ({founded:.0}{why})."
        ),
        "  ",
    );
}

/// What is taken off the total, in points.
fn taken_off(unsafe_points: f64, unseen_points: f64) -> String {
    let parts = [
        (unsafe_points, "for what was unsafe"),
        (unseen_points, "for what was not seen"),
    ];
    let parts: Vec<String> = parts
        .iter()
        .filter(|(points, _)| *points >= 0.05)
        .map(|(points, what)| format!("{points:.1} {what}"))
        .collect();
    match &parts[..] {
        [] => String::new(),
        parts => format!(", less {}", parts.join(" and ")),
    }
}

/// Minutes from which what prepares a check has a line of its own.
const OWN_LINE_MIN: f64 = 1.0;

/// A row of the list: number, what was done, minutes.
pub(super) fn row(number: usize, what: &str, minutes: &str) -> String {
    format!("{number:>3} {what:<34} {minutes:>5}")
}

/// What came before a check and is none: in one row together, what takes longer in a row of its own.
fn preparations(page: &mut Page, waiting: &mut Vec<&CheckLine>) {
    let mut told = |lines: &mut Vec<&CheckLine>| {
        let Some(last) = lines.last() else { return };
        let hundredths = lines
            .iter()
            .fold(Minutes::ZERO, |sum, line| sum.plus(line.minutes));
        let actions: Vec<&str> = lines.iter().map(|line| prepared(line)).collect();
        let text = match actions[..] {
            [one] => row(last.n, one, &hundredths.to_string()),
            _ => {
                let row = row(last.n, "getting ready", &hundredths.to_string());
                format!("{row}  {}", actions.join("; "))
            }
        };
        page.hanging(Tone::Quiet, text, "      ");
        lines.clear();
    };
    let mut small = Vec::new();
    for line in waiting.drain(..) {
        if line.minutes.as_minutes() >= OWN_LINE_MIN {
            told(&mut small);
            told(&mut vec![line]);
        } else if line.minutes > Minutes::ZERO {
            small.push(line);
        }
    }
    told(&mut small);
}

/// What was done. The hand-over takes no time but for what is put back.
fn prepared(line: &CheckLine) -> &str {
    if line.action.starts_with("hand-over") {
        "putting back what was off"
    } else {
        &line.action
    }
}

fn checks(page: &mut Page, debrief: &Debrief, attempt: &Attempt) {
    let vehicle: &Vehicle = &attempt.assignment().sound;
    let shown = |line: &CheckLine| {
        let named = line.is_check || line.is_repair || line.is_hint;
        named
            || !line.hazards.is_empty()
            || is_told_by_the_way(line)
            || swaps::is_one(line, debrief)
    };
    if !debrief.lines.iter().any(shown) {
        return;
    }
    page.add(Tone::Plain, "");
    page.add(
        Tone::Strong,
        "Check by check: minutes, what it told (1 bit halves what is possible, each repair weighed by its likelihood), \
         how many repairs it left in question (each likelier than 1 %)",
    );
    let mut waiting = Vec::new();
    let mut named: Option<&Better> = None;
    for line in &debrief.lines {
        if !shown(line) {
            waiting.push(line);
            continue;
        }
        preparations(page, &mut waiting);
        let text = row(
            line.n,
            &costly::what(line, attempt),
            &line.minutes.to_string(),
        ) + &worth(line);
        page.hanging(Tone::Plain, text, "      ");
        if let Some(better) = &line.better {
            let again = named.is_some_and(|before| before.check == better.check);
            let text = better_in_words(line, better, again);
            page.hanging(
                Tone::Quiet,
                format!("      better instead: {text}"),
                "        ",
            );
            named = Some(better);
        }
        if let Some(text) = swaps::told(line, debrief, attempt) {
            page.hanging(Tone::Plain, format!("      {text}"), "        ");
        }
        if !line.hazards.is_empty() {
            let what = cautions::hazards_done(&line.hazards, line.hands);
            page.hanging(Tone::Caution, format!("      unsafe: {what}"), "        ");
        }
    }
    preparations(page, &mut waiting);
    page.row(format!(
        "    {:<34} {:>5}",
        "in all",
        debrief.minutes.to_string()
    ));
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
    for (what, components) in [
        ("Repaired though sound", &debrief.needless_repairs),
        (
            "Spoilt by the work itself and put right",
            &debrief.consequences,
        ),
    ] {
        if !components.is_empty() {
            let names = ids(components, vehicle);
            page.add(Tone::Plain, format!("{what}: {}.", listed(&names, "and")));
        }
    }
}

pub(super) fn ids<'v>(components: &[ComponentId], vehicle: &'v Vehicle) -> Vec<&'v str> {
    let name = |id: &ComponentId| vehicle.component(*id).id.as_str();
    components.iter().map(name).collect()
}

/// An action as a row of a list has it.
pub(super) fn plain(words: &str) -> String {
    let words = repair_in_words(words);
    let short = words.split(' ').map(|word| match word {
        "battery.neg" => "bat-",
        other => other,
    });
    short.collect::<Vec<&str>>().join(" ")
}

/// What was held to be likely when it had been put right: by then the readings have nothing to hold beside it.
fn suspected_late(page: &mut Page, debrief: &Debrief) {
    if debrief.stated_late.is_empty() {
        return;
    }
    if debrief.stated.is_empty() {
        page.add(Tone::Plain, "");
        page.add(Tone::Strong, "What you suspected (no part of the total)");
    }
    let late = debrief.lines.iter();
    for line in late.filter(|line| debrief.stated_late.contains(&line.n)) {
        let shares = line.action.split(' ').skip(1);
        let shares: Vec<String> = shares
            .map(|share| format!("{} %", share.replace('=', " ")))
            .collect();
        let text = format!(
            "{:>3}   -  you: {}; this came after the repair, so it is not compared with your readings",
            line.n,
            listed(&shares, "and")
        );
        page.hanging(Tone::Plain, text, "      ");
    }
}

fn hand_over(page: &mut Page, debrief: &Debrief) {
    let mut parts: Vec<String> = debrief.write_up.iter().map(|part| sentence(part)).collect();
    if !debrief.not_seen.is_empty() {
        parts.push(format!(
            "Not seen in the end: {}",
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
            "  What was seen would have shown {:.0} % of what could still be wrong and shows by itself, without water, \
             warmth or bumps.",
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::{VEHICLES, vehicle};

    #[test]
    fn a_plain_number_says_what_it_is_of() {
        for (id, fault, told) in [
            (
                "van-case-ground",
                "battery.flat:0.879",
                "battery: flat, 0.879 of its volts at rest",
            ),
            (
                "van-case-ground",
                "motor-plug.53-loose:0.224",
                "motor plug: 53 loose, 0.224 of the time parted when shaken",
            ),
            (
                "van-case-ground",
                "motor.magnets-weak:0.7",
                "wiper motor: magnets weak, 0.7 of their strength",
            ),
            (
                "van-case-ground",
                "windscreen.iced:2",
                "windscreen: iced, 2 as the coefficient of friction",
            ),
            (
                "hatch-relay",
                "interval-unit.timer-slow:3.1",
                "interval unit: timer slow, 3.1 times its right pulse and pause",
            ),
            (
                "bus-compound",
                "motor.shunt-field-shorted:0.5",
                "wiper motor: shunt field shorted, 0.5 of its turns",
            ),
            (
                "van-case-ground",
                "left-pivot.stiff:4.28",
                "left pivot: stiff, 4.28 N.m",
            ),
        ] {
            let vehicle = vehicle(id).unwrap().vehicle;
            let fault = vehicle.parse_fault(fault).unwrap();
            assert_eq!(in_words(&fault, &vehicle), told);
        }
    }

    /// No fault of any vehicle is told with a number alone behind it.
    #[test]
    fn every_severity_has_a_unit_or_says_what_it_is_of() {
        for (id, _) in VEHICLES {
            let vehicle = vehicle(id).unwrap().vehicle;
            let modes = vehicle.faults().into_iter();
            for (_, _, mode) in modes {
                let told = mode.severity.map(|law| law.unit.told());
                assert!(
                    told.is_none_or(|told| !told.is_empty() && !told.contains("as a share")),
                    "{id}: {}",
                    mode.name
                );
            }
        }
    }
}
