//! Questions to the vehicle, which answers what is checked: `does it park?`, `is the motor hot`, `does the horn work`.

use groundside_engine::vehicle::ComponentId;

use super::names::OTHER_NAME;
use super::things::is_consumer;
use super::token::Words;
use super::words::POSITION_WORDS;
use super::{Language, Problem, choices};

/// Words that begin a question which is answered by yes or no.
const BEGIN: [&str; 12] = [
    "does", "do", "did", "is", "are", "can", "will", "has", "have", "isnt", "doesnt", "dont",
];

/// What is asked about, each with how it is checked; `{}` stands for what is named.
const ABOUT: [(&[&str], &[&str]); 5] = [
    (&["hot", "warm", "cold", "heat", "cool"], &["feel {}"]),
    (&["smell", "smells", "burning", "burnt"], &["smell {}"]),
    (
        &[
            "noise", "noisy", "hum", "humming", "click", "clicking", "sound", "heard", "hear",
            "knock", "grind",
        ],
        &["listen"],
    ),
    (&["loose", "tight"], &["wiggle {}", "look {}"]),
    (
        &["stiff", "free", "play", "bind", "binding"],
        &["move left arm", "move right arm"],
    ),
];

/// Words for where blades rest.
const REST: [&str; 6] = ["park", "parks", "parked", "parking", "rest", "stop"];

/// Words for blades that go.
const GOING: [&str; 12] = [
    "wipe", "wipes", "wiping", "run", "runs", "running", "move", "moves", "moving", "work",
    "works", "go",
];

impl Language<'_> {
    /// What to type instead of a question to the vehicle; `None` where it asks of something else.
    pub(super) fn asked(&self, words: &Words<'_>, at: usize) -> Option<Problem> {
        if !BEGIN.contains(&words.text(at)) {
            return None;
        }
        let said = |known: &[&str]| (at + 1..words.len()).any(|n| known.contains(&words.text(n)));
        let named = self.mentioned(words, at + 1);
        let id = |id: ComponentId| &self.vehicle.component(id).id;
        let consumer = named.filter(|id| is_consumer(self.vehicle.component(*id)));
        let about = ABOUT.iter().find(|(known, _)| said(known));
        let ways: Vec<String> = if said(&REST) {
            vec!["wiper off; look".to_owned()]
        } else if let Some(consumer) = consumer {
            vec![format!("try {}", id(consumer))]
        } else if let Some((_, ways)) = about {
            let name = named.map_or("", |named| id(named).as_str());
            ways.iter().map(|way| way.replace("{}", name)).collect()
        } else if said(&GOING) {
            self.runs(words, at + 1)
        } else {
            Vec::new()
        };
        let reads = |way: &String| self.read_line(way, None).is_ok();
        let ways: Vec<String> = ways.into_iter().filter(reads).collect();
        if ways.is_empty() {
            return None;
        }
        let message = format!("The vehicle answers what is checked: {}.", choices(&ways));
        Some(Problem::at(words, at, message).offering(ways))
    }

    /// The part that is named word for word somewhere from `at` on, by most words.
    fn mentioned(&self, words: &Words<'_>, at: usize) -> Option<ComponentId> {
        let found = (at..words.len()).flat_map(|n| {
            let found = self.components.at(words.list(), n).into_iter();
            found.map(move |f| (f.next - n, f))
        });
        let exact = found.filter(|(_, f)| f.rank <= OTHER_NAME);
        exact.max_by_key(|(used, _)| *used).map(|(_, f)| f.item)
    }

    /// Looking at the blades in the position that is told, or in each in which they go.
    fn runs(&self, words: &Words<'_>, at: usize) -> Vec<String> {
        let wiper = self.vehicle.controls().find(|(_, component)| {
            let control = component.control.as_ref();
            control.is_some_and(|control| control.as_str() == "wiper")
        });
        let Some((_, wiper)) = wiper else {
            return Vec::new();
        };
        let positions = wiper.positions();
        let told = |position: &&str| {
            (at..words.len()).any(|n| {
                let word = words.text(n);
                let known = POSITION_WORDS.iter().find(|(typed, _)| *typed == word);
                word == *position || known.is_some_and(|(_, meant)| meant == position)
            })
        };
        let look = |position: &str| format!("wiper {position}; look");
        let named: Vec<String> = positions
            .iter()
            .copied()
            .filter(|p| told(p))
            .map(look)
            .collect();
        if !named.is_empty() {
            return named;
        }
        let go = positions
            .iter()
            .copied()
            .filter(|position| *position != "off");
        go.map(look).collect()
    }
}
