//! The marking beside an attempt, in a thread of its own: what it says is there when it is asked for, and the prompt waits
//! for none of it.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

use groundside_engine::attempt::{Attempt, Event};
use groundside_engine::marking::{Debrief, Follower, MarkingError, Progress, Told};
use groundside_engine::world::{Action, Hint};

use crate::Io;
use crate::waiting::Waiting;

/// What the thread is asked.
enum Ask {
    /// To take in what was done.
    Take(Box<Attempt>),
    Hint(Hint),
    /// The last thing that it is asked.
    Debrief(Box<Attempt>),
}

/// What it answers.
enum Answer {
    Progress(Progress),
    Hint(Result<Told, MarkingError>),
    Debrief(Box<Result<Debrief, MarkingError>>),
}

/// An attempt's marking, as it follows.
pub(crate) struct Following {
    asks: Sender<Ask>,
    answers: Receiver<Answer>,
}

/// Why nothing came back.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Lost {
    #[error(transparent)]
    Marking(#[from] MarkingError),
    #[error("what marks it has stopped")]
    Stopped,
}

impl Following {
    /// Begins with an attempt as it stands. What follows it ends when nothing can ask it any more.
    pub(crate) fn begin(attempt: &Attempt) -> Self {
        let (asks, to_do) = channel();
        let (done, answers) = channel();
        let attempt = attempt.clone();
        thread::spawn(move || work(&attempt, &to_do, &done));
        Self { asks, answers }
    }

    /// Lets it take in what was done.
    pub(crate) fn take(&self, attempt: &Attempt) {
        // One that has stopped is told of when it is asked for something.
        let _ = self.asks.send(Ask::Take(Box::new(attempt.clone())));
    }

    /// What a hint tells.
    pub(crate) fn hint(&self, hint: Hint, io: &mut Io<'_>) -> Result<Told, Lost> {
        match self.answer(Ask::Hint(hint), "thinking", io) {
            Some(Answer::Hint(told)) => Ok(told?),
            _ => Err(Lost::Stopped),
        }
    }

    /// The debrief of the attempt once it is over.
    pub(crate) fn debrief(self, attempt: &Attempt, io: &mut Io<'_>) -> Result<Debrief, Lost> {
        let ask = Ask::Debrief(Box::new(attempt.clone()));
        match self.answer(ask, "marking", io) {
            Some(Answer::Debrief(told)) => Ok((*told)?),
            _ => Err(Lost::Stopped),
        }
    }

    fn answer(&self, ask: Ask, doing: &'static str, io: &mut Io<'_>) -> Option<Answer> {
        let mut waiting = Waiting::new(doing, "steps", io);
        // How far it was while nobody waited is old news.
        while let Ok(Answer::Progress(_)) = self.answers.try_recv() {}
        waiting.begin();
        let sent = self.asks.send(ask).is_ok();
        let mut told = None;
        while sent && told.is_none() {
            match self.answers.recv() {
                Ok(Answer::Progress(progress)) => waiting.tell(progress),
                Ok(answer) => told = Some(answer),
                Err(_) => break,
            }
        }
        waiting.end();
        told
    }
}

/// What the thread does. It ends as soon as nobody listens.
fn work(attempt: &Attempt, to_do: &Receiver<Ask>, done: &Sender<Answer>) {
    let begun = |attempt: &Attempt| -> Result<Follower, MarkingError> {
        let mut follower = Follower::of(attempt)?;
        follow(&mut follower, attempt, done)?;
        Ok(follower)
    };
    let mut follower = begun(attempt);
    while let Ok(ask) = to_do.recv() {
        let answered = match ask {
            Ask::Take(attempt) => {
                let followed = follower.as_mut().map(|own| follow(own, &attempt, done));
                if let Ok(Err(error)) = followed {
                    follower = Err(error);
                }
                Ok(())
            }
            Ask::Hint(hint) => {
                let told = follower.as_ref().map_err(Clone::clone);
                done.send(Answer::Hint(told.and_then(|own| own.hint(hint))))
            }
            Ask::Debrief(attempt) => {
                let told = follower.and_then(|mut own| {
                    follow(&mut own, &attempt, done)?;
                    own.debrief(&attempt)
                });
                let _ = done.send(Answer::Debrief(Box::new(told)));
                return;
            }
        };
        if answered.is_err() {
            return;
        }
    }
}

fn follow(
    follower: &mut Follower,
    attempt: &Attempt,
    done: &Sender<Answer>,
) -> Result<(), MarkingError> {
    follower.follow(attempt, &mut |progress| {
        // Nobody may be waiting.
        let _ = done.send(Answer::Progress(progress));
    })
}

/// The hint that is wanted after an event: the one that is asked for; of a person who is coached, what each check told.
pub(crate) fn wanted_of(event: &Event) -> Option<Hint> {
    let told = event.action.is_check() && !event.observations.is_empty();
    match event.action {
        Action::Hint(hint) => Some(hint),
        _ => (event.bench.coached && told).then_some(Hint::Why),
    }
}
