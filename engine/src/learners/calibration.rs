//! Whether beliefs keep their word: many draws, checks without an aim, and what is believed after them beside what is so.

use super::LearnerError;
use crate::attempt::{Assignment, Attempt, AttemptError, DrawError, in_pool};
use crate::marking::{Believed, FaultDictionary, Watcher, parallel};
use crate::random::{Purpose, Seed, Stream};
use crate::vehicle::{Fault, Faults};

/// Checks after which it is asked what is believed: before any, after some, and after the last one.
pub const STAGES: [usize; 3] = [0, 3, 10];
/// Most draws that have the checks of one of them.
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

/// What is believed of draws, each by its seed, at each of the [`STAGES`], by checks without an aim. Draws that come in with
/// the same complaint have their checks in common, each of which tells something on one of them. `tell` is told how many
/// draws are done.
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
}

/// The draws of one block, check by check beside one another.
fn block_of(
    dictionary: &FaultDictionary,
    block: Vec<(Seed, Attempt)>,
) -> Result<Vec<(Seed, ByStage)>, LearnerError> {
    let Some((first, _)) = block.first() else {
        return Ok(Vec::new());
    };
    let mut choices = Stream::keyed(*first, Purpose::Learner, "calibration");
    let moment = dictionary.moment_in_common();
    let begin = |(seed, attempt): (Seed, Attempt)| -> Result<Draw, LearnerError> {
        Ok(Draw {
            seed,
            watcher: Watcher::of(dictionary, &attempt, &moment)?,
            attempt,
        })
    };
    let mut draws = block
        .into_iter()
        .map(begin)
        .collect::<Result<Vec<_>, _>>()?;
    drop(moment);
    let believed = |draws: &[Draw]| -> Vec<Believed> {
        draws.iter().map(|draw| draw.watcher.believed()).collect()
    };
    let mut stages = Vec::with_capacity(STAGES.len());
    let mut made: Vec<usize> = Vec::new();
    for stage in STAGES {
        while made.len() < stage
            && let Some(check) = next_check(&draws, &made, &mut choices)?
        {
            made.push(check);
            make(&mut draws, check)?;
        }
        stages.push(believed(&draws));
    }
    let of_draw = |(place, draw): (usize, &Draw)| {
        let by_stage = std::array::from_fn(|stage: usize| stages[stage][place]);
        (draw.seed, by_stage)
    };
    Ok(draws.iter().enumerate().map(of_draw).collect())
}

/// A check that was not made yet and tells something on one of the draws, whichever comes first by lot; none when nothing
/// tells anything on any of them.
fn next_check(
    draws: &[Draw],
    made: &[usize],
    choices: &mut Stream,
) -> Result<Option<usize>, LearnerError> {
    let mut left: Vec<&Draw> = draws.iter().collect();
    while let Some(place) = choices.pick(&vec![1.0; left.len()]) {
        let mut telling = left.swap_remove(place).watcher.telling()?;
        telling.retain(|index| !made.contains(index));
        if let Some(place) = choices.pick(&vec![1.0; telling.len()]) {
            return Ok(Some(telling[place]));
        }
    }
    Ok(None)
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
