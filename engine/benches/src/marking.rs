//! What a learner waits for, and the marking that goes along: commands, hints, fault dictionaries.

use std::error::Error;
use std::hint::black_box;
use std::sync::Arc;

use groundside_engine::attempt::Attempt;
use groundside_engine::learners::{Habit, Learner};
use groundside_engine::marking::{Drivers, FaultDictionary, Marker};
use groundside_engine::random::Seed;
use groundside_engine::scenario::Scenario;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{Action, Hint};

use crate::timing::{Spent, Times, cells, spent, words};

/// The scenario whose commands are gone into.
const DEFAULT: &str = "rain-on-the-quay";
/// Who plays the attempts that are timed: one who goes by what tells most, and one who makes any check that tells.
const HABITS: [Habit; 2] = [Habit::OneStep, Habit::Random];
/// Attempts of each in the default scenario, and in each other one.
const SEEDS: u64 = 4;
const SEEDS_ELSEWHERE: u64 = 1;
/// Times that each attempt's commands are carried out.
const REPEATS: usize = 5;
/// From how many on hypotheses are many, and steps of their number.
const MANY: usize = 600;
const STEPS: [usize; 4] = [0, 200, 400, MANY];

/// Times of the commands of attempts in one scenario.
#[derive(Default)]
struct Commands {
    /// The answer to the learner.
    answers: Times,
    /// The marking of it, and the next hint after it, each with the hypotheses that were run along.
    markings: Vec<(f64, usize)>,
    hints: Vec<(f64, usize)>,
    /// The longest of each, and what was done.
    longest_answer: (f64, String),
    longest_marking: (f64, String),
}

/// Prints the tables of a scenario for each vehicle, the default one where it is of it; `wanted` are dictionaries and commands.
pub(crate) fn all(
    vehicles: &[Arc<Vehicle>],
    scenarios: &[Arc<Scenario>],
    wanted: [bool; 2],
) -> Result<(), Box<dyn Error>> {
    let mut dictionaries = Vec::new();
    if wanted[0] {
        println!("\nFault dictionaries:\n");
        println!(
            "| scenario | vehicle | components | hypotheses | drivers: wall | processor | dictionary: wall | processor | an attempt's marker by it: wall | processor |"
        );
        println!("|---|---|--:|--:|--:|--:|--:|--:|--:|--:|");
    }
    for vehicle in vehicles {
        let mut own = scenarios
            .iter()
            .filter(|scenario| scenario.vehicle.as_str() == vehicle.id.as_str());
        let first = own.next();
        let default = own.find(|scenario| scenario.id.as_str() == DEFAULT);
        let Some(scenario) = default.or(first) else {
            continue;
        };
        let (dictionary, row) = dictionary(vehicle, scenario)?;
        if wanted[0] {
            println!("{row}");
        }
        dictionaries.push((dictionary, vehicle, scenario));
    }
    if !wanted[1] {
        return Ok(());
    }
    println!("\nA learner's commands:\n");
    println!(
        "| scenario | commands | answer: median | p99 | longest | marking it: median | p99 | longest | next check: median | p99 |"
    );
    println!("|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|");
    let mut by_number = Vec::new();
    for (dictionary, vehicle, scenario) in &dictionaries {
        let is_default = scenario.id.as_str() == DEFAULT;
        let seeds = if is_default { SEEDS } else { SEEDS_ELSEWHERE };
        let commands = commands(dictionary, vehicle, seeds)?;
        println!("{}", commands.row(scenario));
        if is_default {
            by_number = commands.by_number();
        }
    }
    println!("\nThe same in {DEFAULT} by hypotheses run along:\n");
    println!(
        "| hypotheses | commands | marking it: median | p99 | for one hypothesis | next check: median | p99 |"
    );
    println!("|---|--:|--:|--:|--:|--:|--:|");
    for row in by_number {
        println!("{row}");
    }
    Ok(())
}

/// The fault dictionary of a scenario, and its row.
fn dictionary(
    vehicle: &Arc<Vehicle>,
    scenario: &Arc<Scenario>,
) -> Result<(FaultDictionary, String), Box<dyn Error>> {
    let (drivers, asked) = spent(|| Drivers::of(vehicle, scenario));
    let (dictionary, listed) = spent(|| FaultDictionary::of(drivers?));
    let dictionary = dictionary?;
    let attempt = dictionary.start(Seed(1))?;
    let (marker, begun): (_, Spent) = spent(|| Marker::by(&dictionary, &attempt));
    let row = format!(
        "| {} | {} | {} | {} | {asked} | {listed} | {begun} |",
        scenario.id,
        vehicle.id,
        vehicle.components.len(),
        marker?.follower()?.hypotheses(),
    );
    Ok((dictionary, row))
}

fn commands(
    dictionary: &FaultDictionary,
    vehicle: &Vehicle,
    seeds: u64,
) -> Result<Commands, Box<dyn Error>> {
    let mut times = Commands::default();
    for seed in (1..=seeds).map(Seed) {
        let begun = dictionary.start(seed)?;
        let marker = Marker::by(dictionary, &begun)?;
        for habit in HABITS {
            let learner = Learner { habit, slips: 0.0 };
            let (played, _) = learner.play(&marker, begun.clone(), seed)?;
            let actions: Vec<&Action> = played.events().iter().map(|event| &event.action).collect();
            times.answer(&begun, &actions, vehicle)?;
            times.mark(&marker, &begun, &actions, vehicle)?;
        }
    }
    Ok(times)
}

impl Commands {
    /// Times what a learner waits for: the action, and the copy of the attempt that goes to those who mark.
    fn answer(
        &mut self,
        begun: &Attempt,
        actions: &[&Action],
        vehicle: &Vehicle,
    ) -> Result<(), Box<dyn Error>> {
        for _ in 0..REPEATS {
            let mut attempt = begun.clone();
            for action in actions {
                let mut own = Times::default();
                own.take(|| {
                    attempt.act(action)?;
                    drop(black_box(attempt.clone()));
                    Ok::<_, Box<dyn Error>>(())
                })?;
                let seconds = own.median();
                self.answers.put(seconds);
                if seconds > self.longest_answer.0 {
                    self.longest_answer = (seconds, action.words(vehicle));
                }
            }
        }
        Ok(())
    }

    /// Times what goes along, one command after the other.
    fn mark(
        &mut self,
        marker: &Marker,
        begun: &Attempt,
        actions: &[&Action],
        vehicle: &Vehicle,
    ) -> Result<(), Box<dyn Error>> {
        let mut follower = marker.follower()?;
        let mut attempt = begun.clone();
        for action in actions {
            attempt.act(action)?;
            let run_along = follower.run_along();
            let mut own = Times::default();
            own.take(|| follower.follow(&attempt, &mut |_| {}))?;
            let seconds = own.median();
            self.markings.push((seconds, run_along));
            if seconds > self.longest_marking.0 {
                self.longest_marking = (seconds, action.words(vehicle));
            }
            let mut own = Times::default();
            black_box(own.take(|| follower.hint(Hint::Which))?);
            self.hints.push((own.median(), follower.run_along()));
        }
        Ok(())
    }

    fn row(&self, scenario: &Scenario) -> String {
        let longest =
            |(seconds, action): &(f64, String)| format!("{}, `{action}`", words(*seconds));
        format!(
            "| {} | {} | {} | {} | {} | {} | {} |",
            scenario.id,
            self.markings.len(),
            cells(&self.answers),
            longest(&self.longest_answer),
            cells(&within(&self.markings, 0, usize::MAX)),
            longest(&self.longest_marking),
            cells(&within(&self.hints, 0, usize::MAX)),
        )
    }

    fn by_number(&self) -> Vec<String> {
        let ends = STEPS.iter().skip(1).copied().chain([usize::MAX]);
        let steps = STEPS.into_iter().zip(ends);
        let row = |(from, to): (usize, usize)| {
            let markings = within(&self.markings, from, to);
            let own = self
                .markings
                .iter()
                .filter(|(_, run)| (from..to).contains(run));
            let mut each = Times::default();
            for (seconds, run_along) in own {
                each.put(seconds / (*run_along).max(1) as f64);
            }
            let range = if to == usize::MAX {
                format!("from {from} on")
            } else {
                format!("{from} to {}", to - 1)
            };
            format!(
                "| {range} | {} | {} | {} | {} |",
                markings.count(),
                cells(&markings),
                words(each.median()),
                cells(&within(&self.hints, from, to)),
            )
        };
        steps.map(row).collect()
    }
}

/// The times with a number of hypotheses run along that is not less than `from` and less than `to`.
fn within(times: &[(f64, usize)], from: usize, to: usize) -> Times {
    let mut chosen = Times::default();
    for (seconds, run_along) in times {
        if (from..to).contains(run_along) {
            chosen.put(*seconds);
        }
    }
    chosen
}
