//! Paths that give way now and then, in time: contacts parted by shaking, opened by warmth, wet.
//!
//! Shaking of a steady level parts a contact at random moments without memory, so its good spells are
//! exponential and only shaken time counts towards them; a bout lasts its time whatever happens, since
//! the contact springs back by itself. Each spell is a draw of its own, keyed by contact and number, so
//! that the state is two numbers and a copy goes on as the original does.

use super::decay::FirstOrder;
use crate::math;
use crate::quantity::Interval;
use crate::random::{Purpose, Seed, Stream};
use crate::vehicle::{ComponentId, Loose, Vehicle};

/// Mean length of a bout, seconds; bouts lie between half and one and a half times that (judgement).
const BOUT_S: f64 = 15.0;
/// Time constant of a part that warms with the motor, seconds (judgement).
const WARMING_S: f64 = 300.0;
/// Share of its opening warmth at which a contact closes again (judgement).
const CLOSES_AT: f64 = 0.7;
/// Share of the warmth at which it closes below which it begins anew (judgement).
const COOLED: f64 = 0.9;
/// Warmth from which a contact takes hours to close.
const FAR_TOO_WARM: f64 = 1e9;
/// Shaking by the motor's own running, which other shaking is measured by.
const RUNNING: f64 = 1.0;
/// Seconds, and share of warmth, that count as having arrived.
const ARRIVED: f64 = 1e-9;

/// Where the moments come from at which shaken contacts part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    seed: Seed,
    purpose: Purpose,
}

impl Chance {
    /// That of a vehicle that nobody's attempt hangs on.
    const ANY: Self = Self {
        seed: Seed(0),
        purpose: Purpose::SupposedBouts,
    };

    /// That of the vehicle of an attempt.
    #[must_use]
    pub const fn of_the_truth(seed: Seed) -> Self {
        let purpose = Purpose::Bouts;
        Self { seed, purpose }
    }

    /// That of a vehicle which is supposed in an attempt: it must not foretell the truth's.
    #[must_use]
    pub const fn supposed(seed: Seed) -> Self {
        let purpose = Purpose::SupposedBouts;
        Self { seed, purpose }
    }
}

/// What works on contacts while a step lasts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Surroundings {
    /// Shaking besides the motor's, in terms of it.
    pub(super) shaking: f64,
    /// Whether the motor turns.
    pub(super) turning: bool,
}

impl Surroundings {
    fn level(self) -> f64 {
        self.shaking + if self.turning { RUNNING } else { 0.0 }
    }
}

/// One path that can give way.
#[derive(Clone, Debug, PartialEq)]
struct Contact {
    component: ComponentId,
    path: usize,
    name: String,
    loose: Loose,
    /// Spells drawn so far.
    draws: u32,
    /// Shaken: seconds of the motor's shaking left until it parts, or seconds until it closes.
    left_s: f64,
    /// Warm: as a share of the warmth of a motor that has run for ever, and the warmth at which it opens.
    warmth: f64,
    opens_at: f64,
    /// Warm: whether it has opened, and not cooled since.
    has_opened: bool,
}

/// All paths that can give way, in the order of [`Vehicle::loose_paths`].
#[derive(Clone, Debug)]
pub(super) struct Contacts {
    chance: Chance,
    /// Whether shaken contacts are held closed or parted, instead of by chance.
    held: Option<bool>,
    list: Vec<Contact>,
    /// How a part nears its final warmth.
    warming: FirstOrder,
}

impl Contacts {
    pub(super) fn new() -> Self {
        Self {
            chance: Chance::ANY,
            held: None,
            list: Vec::new(),
            warming: FirstOrder::new(WARMING_S),
        }
    }

    /// Takes over a vehicle's paths: those that are as they were keep their state. Gives what is parted.
    pub(super) fn rebuild(&mut self, vehicle: &Vehicle, parted: &[bool]) -> Vec<bool> {
        let old = std::mem::take(&mut self.list);
        let mut now = Vec::new();
        for (component, path, data, loose) in vehicle.loose_paths() {
            let kept = old
                .iter()
                .zip(parted)
                .find(|(old, _)| (old.component, old.path, old.loose) == (component, path, loose));
            if let Some((old, parted)) = kept {
                self.list.push(old.clone());
                now.push(*parted);
                continue;
            }
            let mut contact = Contact {
                component,
                path,
                name: format!("{} {}", vehicle.component(component).id, data.name),
                loose,
                draws: 0,
                left_s: 0.0,
                warmth: 0.0,
                has_opened: false,
                opens_at: match loose {
                    Loose::Warm { after } => opens_at(after),
                    Loose::Shaken { .. } | Loose::Wet { .. } => f64::INFINITY,
                },
            };
            contact.left_s = contact.good_spell(self.chance);
            self.list.push(contact);
            now.push(false);
        }
        now
    }

    /// Lets the moments come from elsewhere, from the first spell on.
    pub(super) fn set_chance(&mut self, chance: Chance) {
        self.chance = chance;
        for contact in &mut self.list {
            contact.draws = 0;
            contact.left_s = contact.good_spell(chance);
        }
    }

    /// Holds shaken contacts closed or parted, or leaves them to chance.
    pub(super) fn hold(&mut self, held: Option<bool>, parted: &mut [bool]) {
        self.held = held;
        if let Some(held) = held {
            let shaken = |contact: &Contact| matches!(contact.loose, Loose::Shaken { .. });
            for (_, parted) in self.list.iter().zip(parted).filter(|(c, _)| shaken(c)) {
                *parted = held;
            }
        }
    }

    /// Opens what warmth opens, far too warm to close soon.
    pub(super) fn open_warm(&mut self, parted: &mut [bool]) {
        for (contact, parted) in self.warm(parted) {
            contact.warmth = FAR_TOO_WARM;
            *parted = true;
        }
    }

    /// Those that warmth opens, with whether each is open.
    fn warm<'a>(
        &'a mut self,
        parted: &'a mut [bool],
    ) -> impl Iterator<Item = (&'a mut Contact, &'a mut bool)> {
        let each = self.list.iter_mut().zip(parted);
        each.filter(|(contact, _)| matches!(contact.loose, Loose::Warm { .. }))
    }

    /// Whether one that warmth opens has done so, and has not cooled below where it closes since.
    pub(super) fn beats(&self) -> bool {
        self.list.iter().any(Contact::beats)
    }

    /// Puts what beats in its other state, as warm as it is when it has just come to that.
    pub(super) fn move_to_other_beat(&mut self, parted: &mut [bool]) {
        for (contact, parted) in self.warm(parted).filter(|(contact, _)| contact.beats()) {
            *parted = !*parted;
            contact.warmth = match *parted {
                true => contact.opens_at,
                false => CLOSES_AT * contact.opens_at,
            };
        }
    }

    /// Lets everything cool and spring back, as over a night.
    pub(super) fn settle(&mut self, parted: &mut [bool]) {
        for (contact, parted) in self.list.iter_mut().zip(parted) {
            contact.warmth = 0.0;
            contact.has_opened = false;
            if std::mem::take(parted) {
                contact.left_s = contact.good_spell(self.chance);
            }
        }
    }

    /// Water begins to run over everything, or ends; whether that changed a path.
    pub(super) fn soak(&self, water: bool, parted: &mut [bool]) -> bool {
        let mut changed = false;
        for (contact, parted) in self.list.iter().zip(parted) {
            if matches!(contact.loose, Loose::Wet { .. }) {
                changed |= *parted != water;
                *parted = water;
            }
        }
        changed
    }

    /// Hands move shaken contacts: they part for a good part of `window_s` seconds for certain.
    pub(super) fn touch(
        &mut self,
        touched: impl Fn(ComponentId, usize) -> bool,
        window_s: f64,
        parted: &mut [bool],
    ) {
        if self.held == Some(false) {
            return;
        }
        for (contact, parted) in self.list.iter_mut().zip(parted) {
            let shaken = matches!(contact.loose, Loose::Shaken { .. });
            if shaken && touched(contact.component, contact.path) {
                // One that was held parted springs back as any other.
                self.held = None;
                *parted = true;
                contact.left_s = window_s * (0.3 + 0.4 * contact.unit(self.chance));
            }
        }
    }

    /// Seconds until a path gives way or is good again while surroundings stay as they are.
    pub(super) fn until_change(&self, around: Surroundings, parted: &[bool]) -> f64 {
        let each = self.list.iter().zip(parted);
        each.map(|(contact, &parted)| match contact.loose {
            Loose::Shaken { .. } if self.held.is_some() => f64::INFINITY,
            Loose::Shaken { .. } if parted => contact.left_s,
            Loose::Shaken { .. } if around.level() > 0.0 => contact.left_s / around.level(),
            Loose::Warm { .. } => contact.until_warm(around.turning, parted),
            Loose::Shaken { .. } | Loose::Wet { .. } => f64::INFINITY,
        })
        .fold(f64::INFINITY, f64::min)
    }

    /// Lets time pass, at most [`Contacts::until_change`]; whether a path gave way or is good again.
    pub(super) fn advance(
        &mut self,
        seconds: f64,
        around: Surroundings,
        parted: &mut [bool],
    ) -> bool {
        if self.list.is_empty() {
            return false;
        }
        let kept = self.warming.kept(seconds);
        let mut changed = false;
        for (contact, parted) in self.list.iter_mut().zip(parted) {
            let moves = match contact.loose {
                Loose::Shaken { .. } if self.held.is_none() => {
                    let pace = if *parted { 1.0 } else { around.level() };
                    contact.left_s -= pace * seconds;
                    contact.left_s <= ARRIVED
                }
                Loose::Warm { .. } => {
                    let goal = if around.turning { 1.0 } else { 0.0 };
                    contact.warmth = goal + (contact.warmth - goal) * kept;
                    let opens = contact.opens_at;
                    contact.has_opened &= *parted || !contact.has_cooled();
                    if *parted {
                        contact.warmth <= CLOSES_AT * opens + ARRIVED
                    } else {
                        contact.warmth >= opens - ARRIVED
                    }
                }
                Loose::Shaken { .. } | Loose::Wet { .. } => false,
            };
            if moves {
                *parted = !*parted;
                changed = true;
                contact.has_opened |= *parted;
                if *parted {
                    contact.left_s = BOUT_S * (0.5 + contact.unit(self.chance));
                } else {
                    contact.left_s = contact.good_spell(self.chance);
                }
            }
        }
        changed
    }
}

/// Warmth at which a contact opens after so long a run from cold.
fn opens_at(after: Interval) -> f64 {
    -libm::expm1(-after.seconds() / WARMING_S)
}

impl Contact {
    /// Whether it is one that warmth has opened, and that has not cooled since.
    const fn beats(&self) -> bool {
        self.has_opened
    }

    /// Whether it is colder than where it closes, by more than the moment that it takes to warm again.
    fn has_cooled(&self) -> bool {
        self.warmth < COOLED * CLOSES_AT * self.opens_at
    }

    fn unit(&mut self, chance: Chance) -> f64 {
        let key = format!("{}|{}", self.name, self.draws);
        self.draws += 1;
        Stream::keyed(chance.seed, chance.purpose, &key).unit()
    }

    /// Draws a good spell, seconds of the motor's shaking.
    fn good_spell(&mut self, chance: Chance) -> f64 {
        let Loose::Shaken { share, .. } = self.loose else {
            return 0.0;
        };
        let mean = BOUT_S * (1.0 - share) / share;
        -mean * math::log(1.0 - self.unit(chance))
    }

    /// Seconds until the warmth is where the contact opens or closes.
    fn until_warm(&self, turning: bool, parted: bool) -> f64 {
        let opens = self.opens_at;
        let (goal, level) = match (turning, parted) {
            (true, false) => (1.0, opens),
            (false, true) => (0.0, CLOSES_AT * opens),
            _ => return f64::INFINITY,
        };
        let ratio = (goal - self.warmth) / (goal - level);
        WARMING_S * math::log(ratio.max(1.0))
    }
}

/// Chance that a contact that is parted for this share of the time while the motor shakes it is so at some
/// moment of a window: it is so at its beginning, or becomes so.
pub(super) fn chance_to_show(share: f64, window_s: f64) -> f64 {
    let rate = share / ((1.0 - share) * BOUT_S);
    1.0 - (1.0 - share) * math::exp(-rate * window_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_check_of_ten_seconds_meets_three_in_ten_parted_more_often_than_that() {
        // .3 at its beginning, and of the other .7 what parts within 10 s at one in 35 s: .3 + .7 x .2485.
        assert!((chance_to_show(0.3, 10.0) - 0.474).abs() < 1e-3);
        assert!((chance_to_show(0.3, 0.0) - 0.3).abs() < 1e-12);
    }

    /// A pin that opens after two minutes from cold; what is parted comes along.
    fn warm() -> (Contacts, Vec<bool>) {
        let mut contacts = Contacts::new();
        let after = Interval::from_seconds(120.0);
        contacts.list.push(Contact {
            component: ComponentId(0),
            path: 0,
            name: "plug 53".to_owned(),
            loose: Loose::Warm { after },
            draws: 0,
            left_s: 0.0,
            warmth: 0.0,
            opens_at: opens_at(after),
            has_opened: false,
        });
        (contacts, vec![false])
    }

    fn spend(contacts: &mut Contacts, parted: &mut [bool], turning: bool) -> f64 {
        let around = Surroundings {
            shaking: 0.0,
            turning,
        };
        let seconds = contacts.until_change(around, parted).min(1e5);
        assert!(contacts.advance(seconds, around, parted) || seconds >= 1e5);
        seconds
    }

    #[test]
    fn what_warmth_opens_goes_on_opening_and_closing_once_it_has() {
        let (mut contacts, mut parted) = warm();
        assert!(!contacts.beats());
        assert!((spend(&mut contacts, &mut parted, true) - 120.0).abs() < 1e-6);
        assert!(parted[0] && contacts.beats());
        // Its other state is as it would have been in, had it just come to that.
        let (mut other, mut closed) = (contacts.clone(), parted.clone());
        other.move_to_other_beat(&mut closed);
        let cools = spend(&mut contacts, &mut parted, false);
        assert!((cools - WARMING_S * math::log(1.0 / CLOSES_AT)).abs() < 1e-6);
        assert_eq!(parted, closed);
        assert!(contacts.beats());
        let warms = [&mut contacts, &mut other].map(|of| spend(of, &mut [false], true));
        assert!((warms[0] - warms[1]).abs() < 1e-6 && warms[0] < 120.0);
        // Having cooled by more it begins anew, and so it does over a night.
        other.move_to_other_beat(&mut [false]);
        let mut night = other.clone();
        assert!(night.beats());
        night.settle(&mut [true]);
        assert!(!night.beats());
        let cools = Surroundings {
            shaking: 0.0,
            turning: false,
        };
        spend(&mut contacts, &mut [true], false);
        contacts.advance(5.0, cools, &mut [false]);
        assert!(contacts.beats());
        contacts.advance(60.0, cools, &mut [false]);
        assert!(!contacts.beats());
    }

    #[test]
    fn what_is_opened_as_if_warm_stays_so_for_as_long_as_anybody_looks() {
        let (mut contacts, mut parted) = warm();
        contacts.open_warm(&mut parted);
        assert!(parted[0]);
        assert!(spend(&mut contacts, &mut parted, false) > 3600.0);
    }

    #[test]
    fn spells_hang_on_seed_purpose_and_number_alone() {
        let contact = || Contact {
            component: ComponentId(0),
            path: 0,
            name: "plug 53".to_owned(),
            loose: Loose::Shaken {
                share: 0.2,
                play: crate::quantity::Length::from_metres(0.01),
            },
            draws: 0,
            left_s: 0.0,
            warmth: 0.0,
            opens_at: f64::INFINITY,
            has_opened: false,
        };
        let (mut one, mut same, mut other) = (contact(), contact(), contact());
        let (truth, supposed) = (Chance::of_the_truth(Seed(5)), Chance::supposed(Seed(5)));
        let first = one.good_spell(truth);
        assert_eq!(first.to_bits(), same.good_spell(truth).to_bits());
        assert!((first - other.good_spell(supposed)).abs() > 1e-6);
        // A good spell is 15 s times .8 / .2 on average.
        let mean = (0..4000).map(|_| one.good_spell(truth)).sum::<f64>() / 4000.0;
        assert!((mean - 60.0).abs() < 4.0, "{mean}");
    }
}
