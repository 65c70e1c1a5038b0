//! The learner's actions, one after the other, each priced by what was known when it was chosen.
//!
//! What prepares a check (going, opening, setting a control) is charged to the check it prepares, and
//! alternatives are priced from where the preparation began.

mod repairs;
mod swaps;

use std::collections::BTreeSet;
use std::sync::Arc;

use super::MarkingError;
use super::belief::{Belief, entropy};
use super::beside::{Asked, better, graded, is_sound, lost};
use super::case::Case;
use super::debrief::{Balance, CheckLine, Hands, Swap};
use super::dictionary::{Candidate, burden};
use super::information::{Prediction, Worth};
use super::offers::Offer;
use super::outlook::{Made, Outlook, Rule};
use super::reference::{first_bench, suspects};
use super::suspicion::{Stated, by_region};
use super::watcher::Seen;
use super::weights::{
    CONFIRM_FREE_MIN, LOOK_FREE_MIN, REDUNDANT_BITS, VERIFY_MIN, WOULD_HAVE_CAUGHT,
};
use super::why::Read;
use crate::attempt::Event;
use crate::quantity::Minutes;
use crate::world::{Action, Bench, Observation, Quantity, Sense};

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
    /// Events in which it was held to be likely after it had been put right.
    pub(super) stated_late: Vec<usize>,
    /// Known good parts that were put in.
    pub(super) swaps: Vec<Swap>,
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
    /// Minutes to be expected with it beyond those of the rule.
    beyond: f64,
    /// Minutes by which the needed repair was to be expected to take longer after what was read.
    repair: f64,
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
    /// What was read last.
    pub(super) read: Option<Arc<Read>>,
    /// What each hypothesis shows of the action that is being priced, where some had to be woken for it.
    woken: Option<Vec<Prediction>>,
    /// Checks of the vehicle's list that have been made, by place: made again they tell nothing new.
    pub(super) made: Vec<usize>,
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
    stated_late: Vec<usize>,
    swaps: Vec<Swap>,
    /// Minutes since the last priced action, parts at the shop's rate among them.
    spent: f64,
    open: Open,
    balance: Balance,
    offered: Option<Offered>,
}

/// What could be checked next at a belief and a bench, and what the rule comes to, as far as it was asked for: who chooses
/// looks at it, and what is chosen is held up to it.
#[derive(Clone)]
struct Offered {
    belief: Belief,
    classes: Vec<usize>,
    made: usize,
    bench: Bench,
    offers: Arc<[Offer]>,
    rule: Option<Rule>,
}

impl Walk {
    /// Before the first action; `first` is what could be checked then, and what the rule comes to.
    pub(super) fn begin(case: &Case, first: &(Vec<Offer>, Rule)) -> Result<Self, MarkingError> {
        let (first, rule) = first;
        let bench = first_bench(case)?;
        let ahead = case.needed(&case.start, &bench) + rule.value;
        Ok(Self {
            lines: Vec::new(),
            belief: case.start.clone(),
            from: bench.clone(),
            made: Vec::new(),
            offered: Some(Offered {
                belief: case.start.clone(),
                classes: case.classes.clone(),
                made: 0,
                bench: bench.clone(),
                offers: first.as_slice().into(),
                rule: Some(*rule),
            }),
            bench,
            preparing: 0.0,
            carried: None,
            seen: Seen::default(),
            read: None,
            woken: None,
            verify_left: None,
            confirm_left: CONFIRM_FREE_MIN,
            tried: BTreeSet::new(),
            asked: false,
            proved: false,
            foundations: Vec::new(),
            lost: 0.0,
            hands: Hands::Free,
            stated: Vec::new(),
            stated_late: Vec::new(),
            swaps: Vec::new(),
            spent: 0.0,
            open: Open {
                ahead,
                ..Open::default()
            },
            balance: Balance {
                expected: ahead,
                ..Balance::default()
            },
        })
    }

    /// The checks that tell something from a bench by what is known now.
    pub(super) fn offers(
        &mut self,
        case: &Case,
        bench: &Bench,
    ) -> Result<Arc<[Offer]>, MarkingError> {
        Ok(Arc::clone(&self.offered(case, bench)?.offers))
    }

    fn offered(&mut self, case: &Case, bench: &Bench) -> Result<&mut Offered, MarkingError> {
        let still = self.offered.take().filter(|offered| {
            offered.bench == *bench
                && offered.made == self.made.len()
                && offered.belief == self.belief
                && offered.classes == case.classes
        });
        let offered = match still {
            Some(offered) => offered,
            None => Offered {
                belief: self.belief.clone(),
                classes: case.classes.clone(),
                made: self.made.len(),
                bench: bench.clone(),
                offers: case.offers(&self.belief, bench)?.into(),
                rule: None,
            },
        };
        Ok(self.offered.insert(offered))
    }

    /// The look ahead from a bench by what is known now.
    fn outlook(&mut self, case: &Case, bench: &Bench) -> Result<Outlook, MarkingError> {
        let known = self.offered(case, bench)?.rule;
        let outlook = Outlook::of(case, &self.belief, (bench, known), &self.made);
        self.offered(case, bench)?.rule = Some(outlook.rule());
        Ok(outlook)
    }

    /// Prices the next action.
    pub(super) fn take(&mut self, case: &mut Case, event: &Event) -> Result<(), MarkingError> {
        let mut lines = std::mem::take(&mut self.lines);
        let line = self.line(case, event, &mut lines);
        self.lines = lines;
        self.lines.push(line?);
        let asked = Asked { case, event };
        let made = (0..case.candidates.len()).filter(|&index| asked.uses_up(index));
        self.made.extend(made);
        self.swapped(case, event);
        Ok(())
    }

    /// What all lines add up to once no more come.
    pub(super) fn close(mut self, case: &Case) -> Result<Lines, MarkingError> {
        let bench = self.bench.clone();
        let rule = self.outlook(case, &bench)?.rule();
        let left = case.needed(&self.belief, &bench) + rule.value;
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
            stated_late: self.stated_late,
            swaps: self.swaps,
        })
    }

    /// Closes the account of the last priced action: what came of it beside what was to be expected is luck.
    fn settle(&mut self, ahead: f64, lines: &mut [CheckLine]) {
        let Open {
            line,
            ahead: before,
            spent,
            lost,
            beyond,
            repair,
        } = std::mem::take(&mut self.open);
        let luck = spent + ahead - before - beyond - repair;
        self.balance.repair += repair;
        // What is not held against a decision is let pass; what it is better than the rule is saved.
        let let_pass = (beyond - lost).max(0.0);
        self.balance.saved += (-beyond).max(0.0);
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
            moved: 0.0,
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
            let belief = by_region(case, &self.belief);
            let stated = Stated {
                n: event.n,
                suspicion,
                belief,
            };
            match self.has_put_right(case) {
                true => self.stated_late.push(event.n),
                false => self.stated.push(stated),
            }
        }
        // A hint is no decision about the vehicle: its minutes are lost whatever comes of them, and no luck. That nothing more
        // needs checking is let pass.
        if line.is_hint && self.has_proven(case, &event.action) {
            line.let_pass = minutes.as_minutes();
            self.balance.let_pass += minutes.as_minutes();
        } else if line.is_hint {
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
                self.preparing += burden(&permitted, sound).as_minutes();
            }
            if line.is_repair {
                self.repair(case, event, &permitted, &mut line, earlier)?;
            } else {
                let predictions = case.act(&permitted, &self.belief)?;
                let tightened = self.tightened(case, event)?;
                line.hands = self.hands_in(event, &predictions);
                if !event.observations.is_empty() {
                    let before = self.belief.clone();
                    self.check(case, event, &predictions, &mut line, earlier)?;
                    let predictions = self.woken.take().unwrap_or(predictions);
                    if line.is_check {
                        let read = Read::of(case, event, predictions, [&before, &self.belief]);
                        self.read = Some(Arc::new(read));
                    }
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
        let believed = case.class_beliefs(&self.belief);
        // What is seen by the way, as on a clipped meter while a control is worked, is a check when it can
        // tell something; else it belongs to the work that goes on, as do sounds of a control that is set for the next
        // check.
        let tells = worth[0].bits >= REDUNDANT_BITS && !is_by_the_way(event);
        if !event.action.is_check() && !tells {
            self.learn(case, event, predictions, &fresh)?;
            (line.bits, line.moved) = told(&believed, &case.class_beliefs(&self.belief));
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
        let outlook = self.outlook(case, &from)?;
        let ahead = case.needed(&before, &from) + outlook.rule().value;
        self.settle(ahead, earlier);
        self.open.ahead = ahead;
        self.learn(case, event, predictions, &fresh)?;
        line.expected_bits = worth[0].bits;
        (line.bits, line.moved) = told(&believed, &case.class_beliefs(&self.belief));

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
        let listed = listed.find(|offer| asked.is_made_as(offer.index));
        let mut own = listed.map_or(own, |listed| own.at_least(listed));
        let good_practice = self.tries_a_position(case, event) || self.asks_first(event);
        if good_practice {
            own = self.alone(case, event, own);
        }
        let carried = self.carried.as_ref().map(|(bench, _)| bench);
        let price = outlook.of_check(
            case,
            Made {
                own: &own,
                predictions,
                listed: listed.map(|listed| listed.index),
                after: carried.unwrap_or(&event.bench),
            },
        );
        self.open.beyond = price.beyond;
        if good_practice {
            line.led_up = Minutes::from_hundredths(own.hundredths);
            line.efficiency = (worth[0].bits >= REDUNDANT_BITS).then_some(1.0);
            return Ok(());
        }
        let lost = lost(price.regret, &own, &offers);
        // Nor is a little proof of what is already sure, once; what it takes beyond that is.
        if case.is_proven(&before) && !repeat && self.confirm_left > 0.0 {
            let free = self.confirm_left.min(own.minutes());
            self.confirm_left -= free;
            self.open.lost = (lost - free).max(0.0);
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
        line.efficiency = Some(graded(price.regret, &own, &offers));
        // Where nothing is held against a check, no other is held up to it.
        if !is_sound(price.regret, &own) {
            line.better = better(asked, &own, &offers, self.benches());
        }
        Ok(())
    }

    /// Takes in what was read. That another repair is likelier to be needed, dearer or cheaper, is no decision and no luck
    /// with what can be avoided.
    fn learn(
        &mut self,
        case: &mut Case,
        event: &Event,
        predictions: &[Prediction],
        fresh: &[bool],
    ) -> Result<(), MarkingError> {
        let before = case.needed(&self.belief, &event.bench);
        self.woken = case.learn(&mut self.belief, predictions, &event.observations, fresh)?;
        self.open.repair += case.needed(&self.belief, &event.bench) - before;
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
        let look = Candidate::of(position(case, event), event.action.clone());
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
}

/// Bits that a reading told, and the largest change that it made to the belief in one of the repairs, by the beliefs before
/// and after it.
fn told(before: &[f64], after: &[f64]) -> (f64, f64) {
    let changes = before.iter().zip(after).map(|(a, b)| (b - a).abs());
    (
        entropy(before) - entropy(after),
        changes.fold(0.0, f64::max),
    )
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
