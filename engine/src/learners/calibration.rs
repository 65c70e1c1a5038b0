//! Whether beliefs keep their word: many draws, the checks that tell most on each, and what is believed after them beside
//! what is so.

use std::collections::BTreeMap;

use super::LearnerError;
use crate::attempt::{Assignment, Attempt, AttemptError, DrawError, in_pool};
use crate::marking::{Believed, FaultDictionary, Watcher, parallel};
use crate::math;
use crate::random::{Purpose, Seed, Stream};
use crate::vehicle::{Fault, Faults};

/// Checks after which it is asked what is believed: before any, after some, and after the last one.
pub const STAGES: [usize; 3] = [0, 3, 10];
/// Most draws that are gone on with beside one another.
const BESIDE_MAX: usize = 50;
/// Blocks of draws between two words on how far it is.
const AT_A_TIME: usize = 8;
/// Faults tried before nothing is found that brings a complaint.
const TRIES_MAX: usize = 400;

/// How the faults of draws are chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawing {
    /// As an assignment draws them: by how often they come.
    ByPrior,
    /// Each as often as every other, though the belief holds some to be likelier.
    Uniform,
}

/// What is believed of draws, each by its seed, at each of the [`STAGES`], by the checks that tell most on each, one after
/// the other, whatever their minutes. `tell` is told how many draws are done.
///
/// # Errors
/// [`LearnerError`] when nothing can be drawn, or a vehicle cannot be run.
pub fn believed(
    dictionary: &FaultDictionary,
    seeds: &[Seed],
    drawing: Drawing,
    tell: &mut dyn FnMut(usize),
) -> Result<Vec<(Seed, ByStage)>, LearnerError> {
    let drawn = parallel::each(seeds.to_vec(), |seed| drawing.draw(dictionary, seed))?;
    let mut blocks: Vec<Vec<(Seed, Attempt)>> = Vec::new();
    for (seed, attempt) in seeds.iter().copied().zip(drawn) {
        let alike = blocks.iter_mut().find(|block| {
            let first = block.first();
            let alike = first.is_some_and(|(_, first)| first.complaint() == attempt.complaint());
            alike && block.len() < BESIDE_MAX
        });
        match alike {
            Some(block) => block.push((seed, attempt)),
            None => blocks.push(vec![(seed, attempt)]),
        }
    }
    let mut all = Vec::with_capacity(seeds.len());
    let mut blocks = blocks.into_iter();
    loop {
        let some: Vec<_> = blocks.by_ref().take(AT_A_TIME).collect();
        if some.is_empty() {
            return Ok(all);
        }
        for block in parallel::each(some, |block| block_of(dictionary, block))? {
            all.extend(block);
        }
        tell(all.len());
    }
}

/// What is believed of a draw at each stage.
pub type ByStage = [Believed; STAGES.len()];

/// One draw of a block under way.
struct Draw {
    seed: Seed,
    attempt: Attempt,
    watcher: Watcher,
    /// Checks that were made, by their places in the vehicle's list.
    made: Vec<usize>,
    stages: Vec<Believed>,
}

/// The draws of one block, check by check. Those on which the same was done so far have the hypotheses' vehicles in common.
fn block_of(
    dictionary: &FaultDictionary,
    block: Vec<(Seed, Attempt)>,
) -> Result<Vec<(Seed, ByStage)>, LearnerError> {
    let moment = dictionary.moment_in_common();
    let begin = |(seed, attempt): (Seed, Attempt)| -> Result<Draw, LearnerError> {
        Ok(Draw {
            seed,
            watcher: Watcher::of(dictionary, &attempt, &moment)?,
            attempt,
            made: Vec::new(),
            stages: Vec::with_capacity(STAGES.len()),
        })
    };
    let begun = block.into_iter().map(begin);
    let mut groups = vec![begun.collect::<Result<Vec<_>, _>>()?];
    drop(moment);
    for (place, stage) in STAGES.into_iter().enumerate() {
        let before = place.checked_sub(1).map_or(0, |place| STAGES[place]);
        for _ in before..stage {
            let mut parted = Vec::with_capacity(groups.len());
            for group in groups {
                parted.extend(part(group)?);
            }
            groups = parted;
        }
        for draw in groups.iter_mut().flatten() {
            draw.stages.push(draw.watcher.believed());
        }
    }
    let of_draw = |draw: &Draw| {
        let by_stage = std::array::from_fn(|stage: usize| draw.stages[stage]);
        (draw.seed, by_stage)
    };
    Ok(groups.iter().flatten().map(of_draw).collect())
}

/// Makes on each of some draws the check that was not made there yet and tells most; those that it is the same on stay
/// together. Where nothing tells anything none is made.
fn part(draws: Vec<Draw>) -> Result<Vec<Vec<Draw>>, LearnerError> {
    let mut by_check: BTreeMap<Option<usize>, Vec<Draw>> = BTreeMap::new();
    for mut draw in draws {
        let mut telling = draw.watcher.telling()?;
        telling.retain(|(check, _)| !draw.made.contains(check));
        let most = math::first_of_most(telling, |(_, bits)| *bits);
        let check = most.map(|(check, _)| check);
        draw.made.extend(check);
        by_check.entry(check).or_default().push(draw);
    }
    for (check, draws) in &mut by_check {
        if let Some(check) = check {
            make(draws, *check)?;
        }
    }
    Ok(by_check.into_values().collect())
}

/// Makes a check on all draws; not on those where it is refused.
fn make(draws: &mut [Draw], check: usize) -> Result<(), LearnerError> {
    let Some(first) = draws.first() else {
        return Ok(());
    };
    let mut refused = vec![false; draws.len()];
    for step in first.watcher.steps(check) {
        // What comes of a moment is kept for the next as long as the moment itself is.
        let _kept: Vec<_> = draws.iter().map(|draw| draw.watcher.moment()).collect();
        for (draw, refused) in draws.iter_mut().zip(&mut refused) {
            if *refused {
                continue;
            }
            match draw.attempt.act(&step) {
                Ok(event) => draw.watcher.take(event)?,
                Err(AttemptError::Refused(_)) => *refused = true,
                Err(error) => {
                    return Err(LearnerError::Attempt {
                        action: step.words(&draw.attempt.assignment().sound),
                        error,
                    });
                }
            }
        }
    }
    Ok(())
}

impl Drawing {
    fn draw(self, dictionary: &FaultDictionary, seed: Seed) -> Result<Attempt, LearnerError> {
        match self {
            Self::ByPrior => Ok(dictionary.start(seed)?),
            Self::Uniform => uniform(dictionary, seed),
        }
    }
}

/// Draws a fault that each of the scenario's pool is as likely to be, again while the driver would have nothing to say of it.
fn uniform(dictionary: &FaultDictionary, seed: Seed) -> Result<Attempt, LearnerError> {
    let Assignment {
        sound, scenario, ..
    } = dictionary.assignment(seed);
    let mut lots = Stream::keyed(seed, Purpose::Learner, "uniform");
    let faults = sound.faults();
    let allowed = |component, mode| {
        scenario.can_bring(mode) && in_pool(&scenario.pool, &sound, component, mode)
    };
    let weights: Vec<f64> = faults
        .iter()
        .map(|(component, _, mode)| f64::from(u8::from(allowed(*component, mode))))
        .collect();
    for _ in 0..TRIES_MAX {
        let Some(place) = lots.pick(&weights) else {
            break;
        };
        let (component, mode, data) = &faults[place];
        let fault = Fault {
            component: *component,
            mode: *mode,
            severity: data.severity.map(|law| law.quantile(lots.unit())),
        };
        match dictionary.start_on(seed, Faults::from(fault)) {
            Err(DrawError::NotTold { .. }) => {}
            begun => return Ok(begun?),
        }
    }
    Err(DrawError::NoComplaint(scenario.id.to_string()).into())
}
