//! From the lines to the marks.

use super::MarkingError;
use super::arithmetic;
use super::case::{Case, replacement};
use super::complaint;
use super::costly::costly;
use super::debrief::{Debrief, Hands, Score, Second, Suspect, VerdictLevel};
use super::entry::Entry;
use super::hypothesis::{Cure, cure_of};
use super::lines::Lines;
use super::reference::Reference;
use super::weights;
use crate::attempt::Attempt;
use crate::quantity::Minutes;
use crate::scenario::Symptom;
use crate::vehicle::{ComponentId, Fault, Region, Vehicle};
use crate::world::{Action, Gravity, Hazard, Quantity, Verdict, WriteUp, noticed};

/// Largest difference of predictions, in standard deviations, of two faults that no check tells apart.
const APART_SD: f64 = 3.0;

/// Puts the debrief together.
pub(super) fn score(
    case: &Case,
    attempt: &Attempt,
    lines: Lines,
    reference: Reference,
) -> Result<Debrief, MarkingError> {
    let sound = &case.assignment.sound;
    let faults = case.truth.faults;
    let verdicts = verdicts(attempt, faults.count());
    let levels: Vec<VerdictLevel> = faults
        .iter()
        .map(|fault| case.best_level(&verdicts, fault))
        .collect::<Result<_, _>>()?;
    let level = levels.iter().copied().max().unwrap_or(VerdictLevel::Wrong);
    #[expect(clippy::cast_precision_loss, reason = "one or two faults")]
    let kinship = levels.iter().map(|level| level.kinship()).sum::<f64>() / levels.len() as f64;
    let cured = cured(case, attempt)?;
    let (coverage, not_seen) = coverage(case, attempt);
    let faults_of_write_up = write_up_faults(case, attempt, level, cured);
    let (needless_repairs, consequences) = needless(case, attempt, &lines);
    let given_up = matches!(
        attempt.events().last().map(|event| &event.action),
        Some(Action::GiveUp)
    );
    let marked = !given_up && !attempt.bench().coached && case.assignment.chosen.is_none();
    let (score, cap) = marks(
        attempt,
        &lines,
        &reference,
        (kinship, cured, coverage, faults_of_write_up.len()),
    );
    let par = reference.par() + reference.access + labour(case);
    let second = |fault: Fault| -> Result<Second, MarkingError> {
        Ok(Second {
            fault,
            fault_name: sound.fault_name(&fault),
            region: region(sound, &fault),
            level: case.best_level(&verdicts, fault)?,
            put_right: put_right(case, attempt, fault),
        })
    };
    Ok(Debrief {
        fault: faults.main,
        fault_name: sound.fault_name(&faults.main),
        region: region(sound, &faults.main),
        second: faults.second.map(second).transpose()?,
        symptom: case.truth.symptom,
        verdict: verdicts.first().copied(),
        level,
        main_level: case.best_level(&verdicts, faults.main)?,
        main_put_right: put_right(case, attempt, faults.main),
        cured,
        needless_repairs,
        consequences,
        score: marked.then_some(score),
        cap: cap.filter(|_| marked),
        band: marked.then(|| weights::band(score.total)),
        par: Minutes::nearest(par),
        time_base: Minutes::nearest(reference.par() + weights::PAR_CONSTANT_MIN),
        minutes: attempt.clock(),
        lost: Minutes::nearest(lines.lost),
        balance: lines.balance,
        suspects: suspects(case, &lines),
        stated: lines.stated.clone(),
        stated_late: lines.stated_late.clone(),
        swaps: lines.swaps.clone(),
        belief_in_truth: belief_in_truth(case, &lines),
        costly: costly(&lines.lines, score.time),
        lines: lines.lines,
        coverage,
        not_seen,
        write_up: faults_of_write_up,
        route: reference.route,
        route_ends: reference.ends,
    })
}

/// Where a fault is sought.
fn region(sound: &Vehicle, fault: &Fault) -> Region {
    sound
        .component(fault.component)
        .region_of(&sound.mode(fault))
}

/// Minutes of work that nobody can avoid: the repair of each fault, and of a link that has melted for it, and
/// seeing that it helped; what is only explained is not to be seen to.
fn labour(case: &Case) -> f64 {
    let sound = &case.assignment.sound;
    let link = case.melted.map(|link| replacement(sound, link));
    let labour = |cure: Cure| {
        sound.component(cure.component).repairs[cure.way]
            .labour
            .as_minutes()
    };
    let cures = case.true_cures();
    let verifying: f64 = cures
        .iter()
        .filter(|cure| !sound.explains(cure.component, cure.way))
        .map(|_| weights::VERIFY_MIN)
        .sum();
    verifying + cures.into_iter().chain(link).map(labour).sum::<f64>()
}

/// Whether a fault is gone from the vehicle that was handed over, or explained where it is none.
fn put_right(case: &Case, attempt: &Attempt, fault: Fault) -> bool {
    let sound = &case.assignment.sound;
    let (world, component) = (attempt.world(), fault.component);
    let as_sound = world.vehicle().component(component) == sound.component(component);
    as_sound || sound.mode(&fault).is_condition() && world.explained(component)
}

fn write_up(attempt: &Attempt) -> Option<&WriteUp> {
    match attempt.events().last().map(|event| &event.action) {
        Some(Action::HandOver(written)) => Some(written),
        _ => None,
    }
}

/// The verdicts that stand, the last one first: as many as there are faults, on different components. The
/// cause of the write-up is the last.
fn verdicts(attempt: &Attempt, count: usize) -> Vec<Verdict> {
    let concluded = attempt
        .events()
        .iter()
        .rev()
        .filter_map(|event| match event.action {
            Action::Conclude(verdict) => Some(verdict),
            _ => None,
        });
    let cause = write_up(attempt).and_then(|written| written.cause);
    let mut list: Vec<Verdict> = Vec::new();
    for verdict in cause.into_iter().chain(concluded) {
        let known = |other: &Verdict| other.component == verdict.component;
        if list.len() < count && !list.iter().any(known) {
            list.push(verdict);
        }
    }
    list
}

fn repairs(attempt: &Attempt) -> impl DoubleEndedIterator<Item = ComponentId> + '_ {
    attempt
        .events()
        .iter()
        .filter_map(|event| match event.action {
            Action::Repair { component, .. } => Some(component),
            _ => None,
        })
}

/// Whether a nut that was the fault was done up by hand.
fn tightened(attempt: &Attempt, nut: ComponentId) -> bool {
    attempt
        .events()
        .iter()
        .any(|event| event.action == Action::Tighten(nut))
}

/// Whether a driver would have nothing to say of the vehicle as it is handed over, once what was explained
/// has been seen to.
fn cured(case: &Case, attempt: &Attempt) -> Result<bool, MarkingError> {
    // Breakers cool before the driver takes it: how warm they are at that moment is no fault.
    let mut world = attempt.world().clone();
    world.see_to_what_was_explained();
    world.arrive()?;
    Ok(noticed(world, &case.sound_signature)?.is_none())
}

/// Components repaired that were sound: neither a fault's own nor what it is built into, nor a link that had
/// melted for it; and apart from these, those that were sound until the work itself spoilt them.
fn needless(case: &Case, attempt: &Attempt, lines: &Lines) -> (Vec<ComponentId>, Vec<ComponentId>) {
    let sound = &case.assignment.sound;
    let needed = |component: ComponentId| {
        let of = |fault: Fault| sound.is_in(fault.component, component);
        case.truth.faults.iter().any(of) || case.melted == Some(component)
    };
    let (mut needless, mut consequences) = (Vec::new(), Vec::new());
    for (event, line) in attempt.events().iter().zip(&lines.lines) {
        let Action::Repair { component, .. } = event.action else {
            continue;
        };
        let list = match (line.consequence, needed(component)) {
            (true, _) => &mut consequences,
            (false, false) => &mut needless,
            (false, true) => continue,
        };
        if !list.contains(&component) {
            list.push(component);
        }
    }
    (needless, consequences)
}

/// Share of what could remain that operating the controls after the last repair would have shown, and
/// the positions that were not seen.
fn coverage(case: &Case, attempt: &Attempt) -> (f64, Vec<String>) {
    let sound = &case.assignment.sound;
    let Some(roles) = sound.roles() else {
        return (1.0, Vec::new());
    };
    let names = sound.component(roles.wiper).positions();
    let last_repair = attempt
        .events()
        .iter()
        .rposition(|event| match event.action {
            // Words change nothing of the vehicle.
            Action::Repair { component, way } => !sound.explains(component, way),
            _ => false,
        });
    let mut seen = vec![false; names.len()];
    let mut ran = false;
    for event in &attempt.events()[last_repair.map_or(0, |index| index + 1)..] {
        let key_on = event.bench.positions[roles.key.index()] == roles.key_on;
        let position = event.bench.positions[roles.wiper.index()];
        ran |= key_on && position != roles.off;
        let blades = event.observations.iter().any(|seen| {
            matches!(
                seen.what().0,
                Quantity::Pace
                    | Quantity::Rest
                    | Quantity::Blades
                    | Quantity::Wipes
                    | Quantity::CyclesPerMinute
            )
        });
        // Blades at rest prove nothing of the way there unless they have run before.
        if key_on && blades && (position != roles.off || ran) {
            seen[position] = true;
        }
    }
    let shares = case.shown_by_position();
    let total: f64 = shares.iter().map(|(prior, _)| prior).sum();
    let shown: f64 = shares
        .iter()
        .filter(|(_, positions)| {
            positions
                .iter()
                .zip(&seen)
                .any(|(shows, seen)| *shows && *seen)
        })
        .map(|(prior, _)| prior)
        .sum();
    let coverage = if total > 0.0 { shown / total } else { 1.0 };
    let not_seen = names.iter().zip(&seen).enumerate();
    let not_seen = not_seen.filter(|(_, (_, seen))| !**seen);
    let not_seen = not_seen.map(|(position, (name, _))| {
        if position == roles.off {
            format!("{name} after a run")
        } else {
            (*name).to_owned()
        }
    });
    let not_seen = not_seen.collect();
    (coverage, not_seen)
}

/// What of complaint, cause and correction does not fit.
fn write_up_faults(
    case: &Case,
    attempt: &Attempt,
    level: VerdictLevel,
    cured: bool,
) -> Vec<String> {
    let written = write_up(attempt).cloned().unwrap_or_default();
    let mut faults = Vec::new();
    match written.complaint {
        None => faults.push("no complaint was written down".to_owned()),
        Some(symptom) if !complained(case, attempt, symptom) => {
            faults.push(format!(
                "the driver's complaint was `{}`, and nothing that you saw before the repair shows `{}`",
                case.truth.symptom.word(),
                symptom.word()
            ));
        }
        Some(_) => {}
    }
    if level < VerdictLevel::RightRepair {
        faults.push(match verdicts(attempt, 1).first() {
            Some(_) => "the cause does not fit what was wrong".to_owned(),
            None => "no cause was written down".to_owned(),
        });
    }
    let last = repairs(attempt).next_back();
    let mut faulty = case.truth.faults.iter().map(|fault| fault.component);
    let by_hand = faulty.any(|component| tightened(attempt, component));
    match written.correction.or(last) {
        _ if by_hand => {}
        None => faults.push("no correction was written down".to_owned()),
        Some(component) if !repairs(attempt).any(|repaired| repaired == component) => {
            faults.push("the correction names something that was not repaired".to_owned());
        }
        Some(_) if !cured => faults.push("the correction did not put the vehicle right".to_owned()),
        Some(_) => {}
    }
    faults
}

/// Whether a symptom is what the driver came with, or what the learner's own runs showed.
fn complained(case: &Case, attempt: &Attempt, symptom: Symptom) -> bool {
    let sound = &case.assignment.sound;
    let Some(roles) = sound.roles() else {
        return symptom == case.truth.symptom;
    };
    let positions = sound.component(roles.wiper).positions().len();
    let paces = case.sound_paces(positions);
    symptom == case.truth.symptom
        || complaint::shown(attempt.events(), &roles, positions, &paces).contains(&symptom)
}

fn marks(
    attempt: &Attempt,
    lines: &Lines,
    reference: &Reference,
    (kinship, cured, coverage, write_up_faults): (f64, bool, f64, usize),
) -> (Score, Option<&'static str>) {
    let time = arithmetic::time(reference.par(), lines.lost);
    let efficiencies = lines.lines.iter().filter_map(|line| line.efficiency);
    let order = arithmetic::order(&efficiencies.collect::<Vec<f64>>());
    let founded = arithmetic::founded(&lines.foundations);
    let correctness = 0.5 * kinship + 0.5 * founded;
    let hazards: Vec<Hazard> = attempt
        .events()
        .iter()
        .flat_map(|event| event.hazards.iter().copied())
        .collect();
    let count = |gravity: Gravity| -> f64 {
        let of = hazards.iter().filter(|hazard| hazard.gravity() == gravity);
        of.map(|_| 1.0).sum()
    };
    let (minor, major) = (count(Gravity::Minor), count(Gravity::Major));
    let points: f64 = hazards
        .iter()
        .map(|hazard| match hazard.gravity() {
            Gravity::Minor => weights::MINOR_HAZARD,
            Gravity::Major => weights::MAJOR_HAZARD,
        })
        .sum();
    #[expect(clippy::cast_precision_loss, reason = "three parts of a write-up")]
    let written = 1.0 - write_up_faults.min(3) as f64 / 3.0;
    let base = arithmetic::base(time, order, correctness);
    let unsafe_points = weights::MINOR_HAZARD * minor + weights::MAJOR_POINTS * major;
    // One rounding, before anything is made of the total.
    let unseen_points = weights::UNVERIFIED * (1.0 - coverage);
    let mut total = (base - unseen_points - unsafe_points).max(0.0).round();
    let mut cap = None;
    if major > 0.0 && total > weights::MAJOR_CAP {
        (total, cap) = (weights::MAJOR_CAP, Some("someone could have been hurt"));
    }
    let uncured = (weights::UNCURED_CAP * kinship).round();
    if !cured && total > uncured {
        (total, cap) = (uncured, Some(weights::NOT_PUT_RIGHT));
    }
    match lines.hands {
        Hands::Free => {}
        Hands::LikelyCaught => {
            let why = "hands were in a linkage that was as likely as not to move: not passed";
            (total, cap) = (0.0, Some(why));
        }
        Hands::Caught => {
            (total, cap) = (
                0.0,
                Some("hands were caught in a linkage that moved: not passed"),
            );
        }
    }
    let score = Score {
        unsafe_points,
        unseen_points,
        correctness: 100.0 * correctness,
        concluded: 100.0 * kinship,
        founded: 100.0 * founded,
        order: 100.0 * order,
        time: 100.0 * time,
        safety: if lines.hands > Hands::Free {
            0.0
        } else {
            (100.0 - points).max(0.0)
        },
        hand_over: 100.0
            * (weights::HAND_OVER_SEEN * coverage + (1.0 - weights::HAND_OVER_SEEN) * written),
        total,
    };
    (score, cap)
}

/// Belief in what was there, at the end.
fn belief_in_truth(case: &Case, lines: &Lines) -> f64 {
    let same = |other: &Fault| {
        let is = |fault: Fault| (other.component, other.mode) == (fault.component, fault.mode);
        case.truth.faults.iter().any(is)
    };
    let believed = case.list.iter().zip(lines.belief.probabilities());
    believed
        .filter(|(hypothesis, _)| same(&hypothesis.fault))
        .map(|(_, p)| p)
        .sum()
}

/// What was believed at the end, most likely first.
fn suspects(case: &Case, lines: &Lines) -> Vec<Suspect> {
    let probabilities = lines.belief.probabilities();
    let mut by_fault: Vec<(Fault, f64)> = Vec::new();
    for (hypothesis, p) in case.list.iter().zip(probabilities) {
        match by_fault.last_mut() {
            Some((fault, sum))
                if (fault.component, fault.mode)
                    == (hypothesis.fault.component, hypothesis.fault.mode) =>
            {
                *sum += p;
            }
            _ => by_fault.push((hypothesis.fault, *p)),
        }
    }
    by_fault.sort_by(|a, b| b.1.total_cmp(&a.1));
    by_fault
        .into_iter()
        .take(5)
        .filter(|(_, p)| *p >= 0.01)
        .map(|(fault, belief)| {
            let plain = Fault {
                severity: None,
                ..fault
            };
            Suspect {
                fault: case.assignment.sound.fault_name(&plain),
                belief,
            }
        })
        .collect()
}

impl Case {
    /// How near the nearest of some verdicts is to a fault.
    fn best_level(&self, verdicts: &[Verdict], fault: Fault) -> Result<VerdictLevel, MarkingError> {
        let truth = self.true_entry()?;
        let levels = verdicts
            .iter()
            .map(|verdict| self.level(*verdict, fault, truth));
        Ok(levels.max().unwrap_or(VerdictLevel::Wrong))
    }

    /// How near a verdict is to a fault. Faults that no check here tells apart count as one.
    fn level(&self, verdict: Verdict, fault: Fault, truth: &Entry) -> VerdictLevel {
        let sound = &self.assignment.sound;
        let named = Fault {
            component: verdict.component,
            mode: verdict.mode,
            severity: None,
        };
        let same_component = verdict.component == fault.component;
        let alone = self.truth.faults.second.is_none();
        if (same_component && verdict.mode == fault.mode)
            || (alone && self.not_told_apart(verdict, truth))
        {
            VerdictLevel::Exact
        } else if cure_of(sound, verdict.component, verdict.mode)
            == cure_of(sound, fault.component, fault.mode)
        {
            VerdictLevel::RightRepair
        } else if same_component {
            VerdictLevel::RightComponent
        } else if region(sound, &named) == region(sound, &fault) {
            VerdictLevel::RightRegion
        } else {
            VerdictLevel::Wrong
        }
    }

    /// Whether, for some severity, no check tells the named fault from the true vehicle.
    fn not_told_apart(&self, verdict: Verdict, truth: &Entry) -> bool {
        (0..self.list.len())
            .filter(|&index| {
                let fault = self.list[index].fault;
                (fault.component, fault.mode) == (verdict.component, verdict.mode)
            })
            .any(|index| {
                self.running[index]
                    && (0..self.candidates.len()).all(|candidate| {
                        let truth = truth.predict(&self.candidates[candidate]);
                        let named = &self.predictions(candidate)[index];
                        truth.len() == named.seen.len()
                            && truth.iter().zip(&named.seen).zip(&named.spreads).all(
                                |((a, b), spread)| {
                                    a.quantity == b.quantity && a.apart(b, *spread) < APART_SD
                                },
                            )
                    })
            })
    }
}
