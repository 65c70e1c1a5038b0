//! The write-up at hand-over: asked for part by part, or filled from what was done.

use groundside_engine::attempt::Attempt;
use groundside_engine::scenario::Symptom;
use groundside_engine::vehicle::Vehicle;
use groundside_engine::world::{Action, TEXT_MAX, Verdict, WriteUp};

use crate::Io;
use crate::language::{Language, Problem};
use crate::problem::Failure;
use crate::render::{event, help};
use crate::style::{Page, Tone, listed};
use crate::talk::Talk;

/// Words that leave the form.
const LEAVE: [&str; 6] = ["cancel", "back", "stop", "quit", "exit", "pause"];

/// What was answered for a part.
enum Answered<T> {
    /// This.
    With(T),
    /// Nothing: the part stays open.
    Open,
    /// Leave the form.
    Leave,
}

/// Asks a person for the write-up part by part, and says how each answer was understood; whatever is
/// left out stays open. `None` when the form is left.
pub(crate) fn form(
    attempt: &Attempt,
    language: &Language<'_>,
    talk: &mut dyn Talk,
    io: &mut Io<'_>,
) -> Result<Option<WriteUp>, Failure> {
    let mut write_up = WriteUp::default();
    if talk.is_script() {
        // Nobody can be asked: a script hands over on one line.
        return Ok(Some(write_up));
    }
    let vehicle: &Vehicle = &attempt.assignment().sound;
    let filled = filled(WriteUp::default(), attempt);
    let symptoms = Symptom::ALL.map(Symptom::word);
    let told = format!(
        "Complaint, as you saw it yourself: {}. `cancel` or Ctrl-C leaves this form.",
        listed(&symptoms, "or")
    );
    io.print(&Page::of(Tone::Plain, told))?;
    let prompt = "Complaint (Enter: leave open): ";
    let answer = ask_until(talk, io, prompt, |text| language.read_symptom(text))?;
    let told = Symptom::word;
    if !taken(answer, &mut write_up.complaint, io, "complaint", told, None)? {
        return Ok(None);
    }
    let prompt = "Cause, as component and failure (Enter: as concluded): ";
    let answer = ask_until(talk, io, prompt, |text| language.read_verdict(text))?;
    let told = |verdict| verdict_words(verdict, vehicle);
    let usual = filled.cause.map(|verdict| (verdict, "as concluded"));
    if !taken(answer, &mut write_up.cause, io, "cause", told, usual)? {
        return Ok(None);
    }
    let prompt = "Correction, the component put right (Enter: the last repair): ";
    let answer = ask_until(talk, io, prompt, |text| language.read_component(text))?;
    let told = |id| vehicle.component(id).id.as_str();
    let usual = filled.correction.map(|id| (id, "the last repair"));
    if !taken(
        answer,
        &mut write_up.correction,
        io,
        "correction",
        told,
        usual,
    )? {
        return Ok(None);
    }
    let text = talk.part("In your own words (Enter: nothing): ", io)?;
    let Some(text) = text.filter(|text| !leaves(text)) else {
        return Ok(None);
    };
    write_up.text = text
        .chars()
        .filter(|character| !character.is_control())
        .take(TEXT_MAX)
        .collect();
    Ok(Some(write_up))
}

/// Takes an answer, and says how it was understood; `false` when it leaves the form.
fn taken<T: Copy, W: AsRef<str>>(
    answer: Answered<T>,
    part: &mut Option<T>,
    io: &mut Io<'_>,
    name: &str,
    words: impl Fn(T) -> W,
    usual: Option<(T, &str)>,
) -> Result<bool, Failure> {
    let told = match (answer, usual) {
        (Answered::Leave, _) => return Ok(false),
        (Answered::With(given), _) => {
            *part = Some(given);
            words(given).as_ref().to_owned()
        }
        (Answered::Open, Some((usual, why))) => format!("{}, {why}", words(usual).as_ref()),
        (Answered::Open, None) => "left open".to_owned(),
    };
    io.print(&Page::of(Tone::Quiet, format!("  {name}: {told}")))?;
    Ok(true)
}

fn leaves(text: &str) -> bool {
    LEAVE.contains(&text.trim().to_ascii_lowercase().as_str())
}

fn verdict_words(verdict: Verdict, vehicle: &Vehicle) -> String {
    let words = Action::Conclude(verdict).words(vehicle);
    let words = words.strip_prefix("conclude ").unwrap_or(&words);
    words.replace('.', " ")
}

/// What is about to be handed over, with what is still apart, and the question; `write_up` is filled.
pub(crate) fn summary(write_up: &WriteUp, attempt: &Attempt) -> String {
    let vehicle: &Vehicle = &attempt.assignment().sound;
    let open = || "left open".to_owned();
    let complaint = write_up.complaint;
    let complaint = complaint.map_or_else(open, |symptom| symptom.word().to_owned());
    let cause = write_up
        .cause
        .map_or_else(open, |verdict| verdict_words(verdict, vehicle));
    let correction = write_up
        .correction
        .map_or_else(open, |id| vehicle.component(id).id.to_string());
    let mut parts = vec![format!(
        "To be handed over: complaint {complaint}; cause {cause}; correction {correction}."
    )];
    parts.extend(event::left_apart(attempt.bench(), vehicle));
    parts.push("hand over now? (y)".to_owned());
    parts.join("\n")
}

/// The write-up with cause and correction taken from the last verdict and repair where left open.
pub(crate) fn filled(mut write_up: WriteUp, attempt: &Attempt) -> WriteUp {
    let actions = || attempt.events().iter().rev().map(|event| &event.action);
    if write_up.cause.is_none() {
        write_up.cause = actions().find_map(|action| match action {
            Action::Conclude(verdict) => Some(*verdict),
            _ => None,
        });
    }
    if write_up.correction.is_none() {
        write_up.correction = actions().find_map(|action| match action {
            Action::Repair { component, .. } => Some(*component),
            _ => None,
        });
    }
    write_up
}

/// Asks until the answer reads, is empty, or leaves the form.
fn ask_until<T>(
    talk: &mut dyn Talk,
    io: &mut Io<'_>,
    prompt: &str,
    read: impl Fn(&str) -> Result<T, Problem>,
) -> Result<Answered<T>, Failure> {
    loop {
        let Some(text) = talk.part(prompt, io)? else {
            return Ok(Answered::Leave);
        };
        if text.trim().is_empty() {
            return Ok(Answered::Open);
        }
        if leaves(&text) {
            return Ok(Answered::Leave);
        }
        match read(&text) {
            Ok(part) => return Ok(Answered::With(part)),
            Err(problem) => io.print(&help::misread(&problem))?,
        }
    }
}
