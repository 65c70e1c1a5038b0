//! The learner's actions, one after the other, each priced by what was known when it was chosen.
//!
//! What prepares a check (going, opening, setting a control) is charged to the check it prepares, and
//! alternatives are priced from where the preparation began.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::MarkingError;
use super::arithmetic::{efficiency_of_repair, foundation, is_founded};
use super::belief::{Belief, entropy};
use super::beside::{Asked, better, graded, is_sound, lost, named};
use super::case::{Case, repair_minutes};
use super::debrief::{Balance, CheckLine, Hands};
use super::dictionary::{Candidate, burden, reach_minutes};
use super::hypothesis::Cure;
use super::information::{Prediction, Worth};
use super::offers::Offer;
use super::reference::{first_bench, suspects};
use super::suspicion::{Stated, by_region};
use super::watcher::Seen;
use super::weights::{
    CONFIRM_FREE_MIN, FOUNDED_MIN, LOOK_FREE_MIN, PROVEN, REDUNDANT_BITS, VERIFY_FREE_MIN,
    VERIFY_MIN, WOULD_HAVE_CAUGHT,
};
use crate::attempt::Event;
use crate::quantity::Minutes;
use crate::world::{Action, Bench, Observation, Permitted, Quantity, Sense};

/// Belief from which a nut that was done up counts as the repair.
const AS_LIKELY_AS_NOT: f64 = 0.5;

/// Every line of an attempt, and what they add up to.
pub(super) struct Lines {
    pub(super) lines: Vec<CheckLine>,
    /// The belief at the end.
    pub(super) belief: Belief,
    /// How well founded each repair was, 0 to 1.
    pub(super) foundations: Vec<f64>,
    /// Minutes lost by decisions.
    pub(super) lost: f64,
    /// Where all minutes went.
    pub(super) balance: Balance,
    /// The worst that became of hands in a linkage that could start.
    pub(super) hands: Hands,
    /// What was held to be likely, and what the readings said by then.
    pub(super) stated: Vec<Stated>,
}

/// The action priced last, whose luck is known when the next one is priced.
#[derive(Clone, Default)]
struct Open {
    /// Its line; none before the first.
    line: Option<usize>,
    /// Minutes that were to be expected as it was chosen.
    ahead: f64,
    /// What it took, with what prepared it, and parts at the shop's rate.
    spent: f64,
    lost: f64,
    let_pass: f64,
}

/// The pricing of an attempt's actions, one after the other as they are done, and where it stands.
#[derive(Clone)]
pub(super) struct Walk {
    /// The lines so far.
    pub(super) lines: Vec<CheckLine>,
    pub(super) belief: Belief,
    /// The bench when the present preparation began.
    from: Bench,
    /// The bench before the next action.
    pub(super) bench: Bench,
    /// Minutes of preparation since then.
    preparing: f64,
    /// Minutes of preparation that a first look did not want, and the bench it would have left without them: the next
    /// priced action goes on from there.
    carried: Option<(Bench, f64)>,
    /// Checks made, by what was read in which state.
    seen: Seen,
    /// Minutes of verification left since the last repair.
    verify_left: Option<f64>,
    /// Positions of the wiper switch in which the blades have been looked at; none for a look with the key off.
    tried: BTreeSet<Option<usize>>,
    /// Whether the driver has been asked, and whether what was sure has been proven on the part itself.
    asked: bool,
    proved: bool,
    /// Minutes of confirming left.
    confirm_left: f64,
    foundations: Vec<f64>,
    lost: f64,
    hands: Hands,
    stated: Vec<Stated>,
    /// Minutes since the last priced action, parts at the shop's rate among them.
    spent: f64,
    open: Open,
    balance: Balance,
    offered: Option<Offered>,
}

/// What could be checked next at a belief and a bench: who chooses looks at it, and what is chosen is held up to it.
#[derive(Clone)]
struct Offered {
    belief: Belief,
    classes: Vec<usize>,
    bench: Bench,
    offers: Arc<[Offer]>,
}

impl Walk {
    /// Before the first action; `first` is what could be checked then.
    pub(super) fn begin(case: &Case, first: &[Offer]) -> Result<Self, MarkingError> {
        let bench = first_bench(case)?;
        let ahead = case.ahead(&case.start, &bench, first);
        Ok(Self {
            lines: Vec::new(),
            belief: case.start.clone(),
            from: bench.clone(),
            bench,
            preparing: 0.0,
            carried: None,
            seen: Seen::default(),
            verify_left: None,
            confirm_left: CONFIRM_FREE_MIN,
            tried: BTreeSet::new(),
            asked: false,
            proved: false,
            foundations: Vec::new(),
            lost: 0.0,
            hands: Hands::Free,
            stated: Vec::new(),
            spent: 0.0,
            open: Open {
                ahead,
                ..Open::default()
            },
            balance: Balance {
                expected: ahead,
                ..Balance::default()
            },
            offered: None,
        })
    }

    /// The checks that tell something from a bench by what is known now.
    pub(super) fn offers(
        &mut self,
        case: &Case,
        bench: &Bench,
    ) -> Result<Arc<[Offer]>, MarkingError> {
        if let Some(offered) = &self.offered
            && offered.bench == *bench
            && offered.belief == self.belief
            && offered.classes == case.classes
        {
            return Ok(Arc::clone(&offered.offers));
        }
        let offers: Arc<[Offer]> = case.offers(&self.belief, bench)?.into();
        self.offered = Some(Offered {
            belief: self.belief.clone(),
            classes: case.classes.clone(),
            bench: bench.clone(),
            offers: Arc::clone(&offers),
        });
        Ok(offers)
    }

    /// Prices the next action.
    pub(super) fn take(&mut self, case: &mut Case, event: &Event) -> Result<(), MarkingError> {
        let mut lines = std::mem::take(&mut self.lines);
        let line = self.line(case, event, &mut lines);
        self.lines = lines;
        self.lines.push(line?);
        Ok(())
    }

    /// What all lines add up to once no more come.
    pub(super) fn close(mut self, case: &Case) -> Result<Lines, MarkingError> {
        let bench = self.bench.clone();
        let offers = self.offers(case, &bench)?;
        let left = case.ahead(&self.belief, &self.bench, &offers);
        let mut lines = std::mem::take(&mut self.lines);
        self.settle(left, &mut lines);
        self.balance.left = left;
        // Preparing for nothing is lost, beyond what verifying and tidying up may take.
        let idle = (self.preparing - self.verify_left.unwrap_or(VERIFY_MIN)).max(0.0);
        self.lost += idle;
        self.balance.luck += self.spent - idle;
        self.balance.lost = self.lost;
        Ok(Lines {
            lines,
            belief: self.belief,
            foundations: self.foundations,
            lost: self.lost,
            balance: self.balance,
            hands: self.hands,
            stated: self.stated,
        })
    }

    /// Closes the account of the last priced action: what came of it beside what was to be expected is luck.
    fn settle(&mut self, ahead: f64, lines: &mut [CheckLine]) {
        let Open {
            line,
            ahead: before,
            spent,
            lost,
            let_pass,
        } = std::mem::take(&mut self.open);
        let luck = spent + ahead - before - lost - let_pass;
        self.balance.luck += luck;
        self.balance.let_pass += let_pass;
        if let Some(line) = line.and_then(|line| lines.get_mut(line)) {
            line.luck = luck;
            line.let_pass = let_pass;
        }
    }

    fn line(
        &mut self,
        case: &mut Case,
        event: &Event,
        earlier: &mut [CheckLine],
    ) -> Result<CheckLine, MarkingError> {
        let minutes = event.cost.total();
        let before = suspects(case, &self.belief);
        let mut line = CheckLine {
            n: event.n,
            action: event.action.words(&case.assignment.sound),
            minutes,
            parts: 0.0,
            is_check: event.action.is_check() && !event.observations.is_empty(),
            confirms: false,
            proves: false,
            repeats: false,
            let_pass: 0.0,
            verifies: false,
            is_repair: matches!(event.action, Action::Repair { .. }),
            is_hint: matches!(event.action, Action::Hint(_)),
            expected_bits: 0.0,
            bits: 0.0,
            led_up: minutes,
            suspects: [before, before],
            lost: Minutes::ZERO,
            efficiency: None,
            better: None,
            repair_chance: None,
            luck: 0.0,
            explains: false,
            consequence: false,
            hazards: event.hazards.clone(),
            hands: Hands::Free,
        };
        if let Action::Repair { component, way } = event.action {
            line.explains = case.assignment.sound.explains(component, way);
            let repair = &case.assignment.sound.component(component).repairs[way];
            line.parts = f64::from(repair.price) / case.assignment.scenario.shop_rate;
        }
        if let Action::Suspect(suspicion) = event.action {
            self.stated.push(Stated {
                n: event.n,
                suspicion,
                belief: by_region(case, &self.belief),
            });
        }
        // A hint is no decision about the vehicle: its minutes are lost whatever comes of them, and no luck.
        if line.is_hint {
            line.lost = minutes;
            self.lost += minutes.as_minutes();
        } else {
            self.spent += minutes.as_minutes() + line.parts;
        }
        let helper = case.assignment.scenario.helper;
        let permitted = self
            .bench
            .permit(&event.action, &case.assignment.sound, helper);
        // An event of the attempt was permitted, so this one is; a refusal here would price nothing.
        if let Ok(permitted) = permitted {
            let sound = &case.assignment.sound;
            if !line.is_hint {
                self.preparing += burden(&event.action, minutes, sound).as_minutes();
            }
            if line.is_repair {
                self.repair(case, event, &permitted, &mut line, earlier)?;
            } else {
                let predictions = case.act(&permitted, &self.belief)?;
                let tightened = self.tightened(case, event)?;
                line.hands = self.hands_in(event, &predictions);
                if !event.observations.is_empty() {
                    self.check(case, event, &predictions, &mut line, earlier)?;
                }
                if let Some(chance) = tightened {
                    self.turned_out_loose(case, chance, &line);
                }
            }
        }
        self.bench = event.bench.clone();
        if line.is_check || line.is_repair {
            let carried = self.carried.take();
            (self.from, self.preparing) = carried.unwrap_or_else(|| (event.bench.clone(), 0.0));
            self.open.line = Some(earlier.len());
            let spent = std::mem::replace(&mut self.spent, self.preparing);
            self.open.spent = spent - self.preparing;
        }
        line.suspects[1] = suspects(case, &self.belief);
        Ok(line)
    }

    /// Hands in a linkage that moved, in this vehicle or in most of those it could have been.
    fn hands_in(&mut self, event: &Event, predictions: &[Prediction]) -> Hands {
        let caught = |seen: &Observation| matches!(seen, Observation::Perception { quantity: Quantity::Caught, level, .. } if *level > 0);
        let moved = |prediction: &Prediction| {
            let mut seen = prediction.seen.iter();
            seen.any(|seen| seen.quantity == Quantity::Caught && seen.value > 0.5)
        };
        let likely: f64 = predictions
            .iter()
            .zip(self.belief.probabilities())
            .filter(|(prediction, _)| moved(prediction))
            .map(|(_, p)| p)
            .sum();
        let hands = if event.observations.iter().any(caught) {
            Hands::Caught
        } else if likely >= WOULD_HAVE_CAUGHT {
            Hands::LikelyCaught
        } else {
            Hands::Free
        };
        self.hands = self.hands.max(hands);
        hands
    }

    /// A crank nut done up is a loose nut put right, though it was undone to feel the arms: it counts as
    /// a repair when that is what it was believed to be. Else the chance that it was one, if it could be.
    fn tightened(&mut self, case: &mut Case, event: &Event) -> Result<Option<f64>, MarkingError> {
        if !matches!(event.action, Action::Tighten(_)) {
            return Ok(None);
        }
        let before = case.classes.clone();
        case.note_cures()?;
        let chance = chance_of_change(&before, &case.classes, self.belief.probabilities());
        if chance < AS_LIKELY_AS_NOT {
            return Ok(Some(chance).filter(|chance| *chance > 0.0));
        }
        self.foundations
            .push(if chance >= PROVEN { 1.0 } else { chance });
        self.verify_left = Some(VERIFY_FREE_MIN);
        Ok(None)
    }

    /// A nut that turned as it was done up was the loose one, if nothing else fits any more: trying it was the repair, and
    /// what follows sees to that. It takes so little that it is founded like any repair that loses as little.
    fn turned_out_loose(&mut self, case: &Case, chance: f64, line: &CheckLine) {
        let cured = case.class_beliefs(&self.belief)[case.cures.len()];
        if cured >= AS_LIKELY_AS_NOT {
            let cheap = line.lost.as_minutes() <= FOUNDED_MIN;
            self.foundations.push(if cheap { 1.0 } else { chance });
            self.verify_left = Some(VERIFY_FREE_MIN);
        }
    }

    fn check(
        &mut self,
        case: &mut Case,
        event: &Event,
        predictions: &[Prediction],
        line: &mut CheckLine,
        earlier: &mut [CheckLine],
    ) -> Result<(), MarkingError> {
        // The same reading of the same check in the same state is a repeat; another one is news.
        let fresh = self.seen.fresh(event);
        let repeat = !fresh.contains(&true);
        line.repeats = repeat;
        let worth = if repeat {
            [Worth::default(); 2]
        } else {
            case.worth(predictions, &self.belief)
        };
        let entropy_before = entropy(&case.class_beliefs(&self.belief));
        // What is seen by the way, as on a clipped meter while a control is worked, is a check when it can
        // tell something; else it belongs to the work that goes on, as do sounds of a control that is set for the next
        // check.
        let tells = worth[0].bits >= REDUNDANT_BITS && !is_by_the_way(event);
        if !event.action.is_check() && !tells {
            case.learn(&mut self.belief, predictions, &event.observations, &fresh)?;
            line.bits = entropy_before - entropy(&case.class_beliefs(&self.belief));
            return Ok(());
        }
        line.led_up = Minutes::nearest(self.preparing);
        line.is_check = true;
        let own = Offer {
            index: usize::MAX,
            worth,
            hundredths: Minutes::nearest(self.preparing).hundredths(),
            opens: case.opened(&self.belief, &self.from, &event.bench),
        };
        let before = self.belief.clone();
        let from = self.from.clone();
        let offers = self.offers(case, &from)?;
        let ahead = case.ahead(&before, &self.from, &offers);
        self.settle(ahead, earlier);
        self.open.ahead = ahead;
        case.learn(&mut self.belief, predictions, &event.observations, &fresh)?;
        line.expected_bits = worth[0].bits;
        line.bits = entropy_before - entropy(&case.class_beliefs(&self.belief));

        // What verifies a repair is no decision about the fault.
        if let Some(left) = &mut self.verify_left
            && *left >= self.preparing
        {
            *left -= self.preparing;
            line.verifies = true;
            return Ok(());
        }
        // Trying every position once and looking is what a complaint begins with, and asking the driver.
        let asked = Asked { case, event };
        let mut listed = offers.iter().filter(|_| !repeat);
        let own = match listed.find(|offer| asked.is_made_as(offer.index)) {
            Some(listed) => own.at_least(listed),
            None => own,
        };
        if self.tries_a_position(case, event) || self.asks_first(event) {
            let own = self.alone(case, event, own);
            line.led_up = Minutes::from_hundredths(own.hundredths);
            self.open.let_pass = lost(&own, &offers);
            line.efficiency = (worth[0].bits >= REDUNDANT_BITS).then_some(1.0);
            return Ok(());
        }
        let lost = lost(&own, &offers);
        // Nor is a little proof of what is already sure, once; what it takes beyond that is.
        let proven = case.class_beliefs(&before)[..case.cures.len()]
            .iter()
            .any(|p| *p >= PROVEN);
        if proven && !repeat && self.confirm_left > 0.0 {
            let free = self.confirm_left.min(own.minutes());
            self.confirm_left -= free;
            self.open.let_pass = lost.min(free);
            self.open.lost = lost - self.open.let_pass;
            self.lost += self.open.lost;
            line.lost = Minutes::nearest(self.open.lost);
            line.confirms = asked.tells_of_the_complaint();
            line.proves = !self.proved && line.confirms && asked.is_on_the_part();
            self.proved |= line.proves;
            line.efficiency = line.proves.then_some(1.0);
            return Ok(());
        }
        self.lost += lost;
        self.open.lost = lost;
        line.lost = Minutes::nearest(lost);
        line.efficiency = Some(graded(&own, &offers));
        // Where nothing is held against a check, no other is held up to it.
        if !is_sound(&own, &offers) {
            line.better = better(asked, &own, &offers, self.benches());
        }
        Ok(())
    }

    /// The bench from which alternatives are priced, and the one that the learner stood at.
    const fn benches(&self) -> [&Bench; 2] {
        [&self.from, &self.bench]
    }

    /// A first look or question as it would have been from where its preparation began, where much more was done before
    /// it: covers that came off, or minutes that went by, are the next check's, which they may have been for.
    fn alone(&mut self, case: &Case, event: &Event, own: Offer) -> Offer {
        let sound = &case.assignment.sound;
        let look = Candidate {
            wiper: position(case, event),
            undone: Vec::new(),
            check: event.action.clone(),
        };
        let Some((hundredths, after)) =
            look.cost(sound, &self.from, case.assignment.scenario.helper)
        else {
            return own;
        };
        let besides = self.preparing - f64::from(hundredths) / 100.0;
        if besides <= LOOK_FREE_MIN {
            return own;
        }
        let opens = case.opened(&self.belief, &self.from, &after);
        self.carried = Some((after, besides));
        Offer {
            hundredths,
            opens,
            ..own
        }
    }

    /// Whether an action is the first question to the driver.
    fn asks_first(&mut self, event: &Event) -> bool {
        event.action == Action::Ask && !std::mem::replace(&mut self.asked, true)
    }

    /// Whether an action is the first look at the blades in a position of the wiper switch, or with the key off.
    fn tries_a_position(&mut self, case: &Case, event: &Event) -> bool {
        event.action == Action::Sense(Sense::LookBlades) && self.tried.insert(position(case, event))
    }

    fn repair(
        &mut self,
        case: &mut Case,
        event: &Event,
        permitted: &Permitted,
        line: &mut CheckLine,
        earlier: &mut [CheckLine],
    ) -> Result<(), MarkingError> {
        let Action::Repair { component, way } = event.action else {
            return Ok(());
        };
        let from = self.from.clone();
        let offers = self.offers(case, &from)?;
        let ahead = case.ahead(&self.belief, &self.from, &offers);
        self.settle(ahead, earlier);
        self.open.ahead = ahead;
        line.consequence = case.is_consequence(component);
        // Preparing for what the repair does not want is lost, beyond what tidying up may take.
        let reach = reach_minutes(component, &case.assignment.sound, &self.from);
        let before = self.preparing - event.cost.total().as_minutes();
        let idle = (before - reach - VERIFY_MIN).max(0.0);
        let best_order = case.needless_now(&self.belief);
        let classes_before = case.classes.clone();
        let predictions = case.act(permitted, &self.belief)?;
        line.hands = self.hands_in(event, &predictions);
        case.note_cures()?;
        self.verify_left = Some(VERIFY_FREE_MIN);
        if line.consequence {
            // What the work itself spoilt is paid for, and says nothing of how the fault was sought.
            let lost = self.spent;
            (self.lost, self.open.lost) = (self.lost + lost, lost);
            line.lost = Minutes::nearest(lost);
            return Ok(());
        }
        let probabilities = self.belief.probabilities();
        let chance = chance_of_change(&classes_before, &case.classes, probabilities);
        // This repair first and the best order after it, beside the best order from the start; and
        // beside the check that would have saved most.
        let left_over = case.needless_now(&self.belief) * (1.0 - chance);
        let this_first =
            (1.0 - chance) * repair_minutes(&case.assignment, Cure { component, way }) + left_over;
        let by_check = offers
            .iter()
            .map(|offer| offer.net(0).min(offer.net(1)))
            .fold(0.0, f64::max);
        let lost = (this_first - best_order).max(0.0) + by_check;
        let kinship: f64 = (0..case.list.len())
            .map(|index| probabilities[index] * case.kinship(index, component))
            .sum();
        self.foundations.push(foundation(lost, chance, kinship));
        self.lost += lost + idle;
        self.open.lost = lost + idle;
        line.lost = Minutes::nearest(lost + idle);
        line.efficiency = Some(efficiency_of_repair(lost, chance));
        line.repair_chance = Some(chance);
        if !is_founded(lost, chance) {
            let worth_it = offers.iter().filter(|offer| offer.net(0) > 0.0);
            line.better = Offer::best(worth_it).map(|offer| named(case, offer, self.benches()));
        }
        Ok(())
    }
}

/// Where the wiper switch stands; none with the key off, or where there is none.
fn position(case: &Case, event: &Event) -> Option<usize> {
    let roles = case.assignment.sound.roles()?;
    let positions = &event.bench.positions;
    let key_on = positions[roles.key.index()] == roles.key_on;
    key_on.then(|| positions[roles.wiper.index()])
}

/// Whether what is seen of an action comes by the way: a control is worked, or a lead taken off, for what comes next, and
/// no meter is clipped that shows anything meanwhile.
fn is_by_the_way(event: &Event) -> bool {
    let set = matches!(
        event.action,
        Action::Control { .. } | Action::RemoveJumper { .. }
    );
    set && event.bench.clip.is_none()
}

/// Belief in the hypotheses whose class changed.
fn chance_of_change(before: &[usize], after: &[usize], probabilities: &[f64]) -> f64 {
    let changed = before
        .iter()
        .zip(after)
        .map(|(before, after)| before != after);
    // From nothing on: an empty sum of floats is minus zero.
    probabilities
        .iter()
        .zip(changed)
        .filter(|(_, changed)| *changed)
        .fold(0.0, |sum, (p, _)| sum + p)
}
