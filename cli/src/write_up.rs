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
    /// Words that name none, and did not when asked again: they are kept as they are.
    Words(String),
    /// Nothing: the part stays open.
    Open,
    /// Leave the form.
    Leave,
}

/// Asks a person for the write-up part by part, and says how each answer was understood; whatever is
/// left out stays open. What was written up before and not handed over, `draft`, stands where nothing is said;
/// answers are kept there as they come. `None` when the form is left.
pub(crate) fn form(
    attempt: &Attempt,
    language: &Language<'_>,
    draft: &mut WriteUp,
    talk: &mut dyn Talk,
    io: &mut Io<'_>,
) -> Result<Option<WriteUp>, Failure> {
    let mut write_up = WriteUp::default();
    let mut own: Vec<String> = Vec::new();
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
    let before = draft.complaint.map(|symptom| (symptom, BEFORE));
    let prompt = match before {
        Some(_) => "Complaint (Enter: as before): ",
        None => "Complaint (Enter: leave open): ",
    };
    let answer = ask_twice(talk, io, prompt, |text| language.read_symptom(text))?;
    let kept = (&mut write_up.complaint, &mut own);
    if !taken(answer, kept, io, "complaint", Symptom::word, before)? {
        return Ok(None);
    }
    draft.complaint = write_up.complaint;
    let before = draft.cause.map(|verdict| (verdict, BEFORE));
    let usual = before.or_else(|| filled.cause.map(|verdict| (verdict, "as concluded")));
    let prompt = "Cause, as component and failure (Enter: as concluded): ";
    let prompt = prompt_for(prompt, "as concluded", before.is_some());
    let answer = ask_twice(talk, io, &prompt, |text| language.read_verdict(text))?;
    let told = |verdict| verdict_words(verdict, vehicle);
    let kept = (&mut write_up.cause, &mut own);
    if !taken(answer, kept, io, "cause", told, usual)? {
        return Ok(None);
    }
    draft.cause = write_up.cause;
    let before = draft.correction.map(|id| (id, BEFORE));
    let usual = before.or_else(|| filled.correction.map(|id| (id, "the last repair")));
    let prompt = "Correction, the component put right (Enter: the last repair): ";
    let prompt = prompt_for(prompt, "the last repair", before.is_some());
    let answer = ask_twice(talk, io, &prompt, |text| language.read_correction(text))?;
    let told = |id| vehicle.component(id).id.as_str();
    let kept = (&mut write_up.correction, &mut own);
    if !taken(answer, kept, io, "correction", told, usual)? {
        return Ok(None);
    }
    draft.correction = write_up.correction;
    let prompt = "In your own words (Enter: nothing): ";
    let prompt = prompt_for(prompt, "nothing", !draft.text.is_empty());
    let text = talk.part(&prompt, io)?;
    let Some(mut text) = text.filter(|text| !leaves(text)) else {
        return Ok(None);
    };
    if text.trim().is_empty() {
        text.clone_from(&draft.text);
    }
    own.push(text);
    own.retain(|text| !text.trim().is_empty());
    let text = own.join("; ");
    write_up.text = text
        .chars()
        .filter(|character| !character.is_control())
        .take(TEXT_MAX)
        .collect();
    Ok(Some(write_up))
}

/// What Enter stands for where something was said before.
const BEFORE: &str = "as before";

/// A prompt that says what Enter stands for.
fn prompt_for(prompt: &str, usual: &str, before: bool) -> String {
    match before {
        true => prompt.replace(usual, BEFORE),
        false => prompt.to_owned(),
    }
}

/// Takes an answer, and says how it was understood; `false` when it leaves the form.
fn taken<T: Copy, W: AsRef<str>>(
    answer: Answered<T>,
    (part, own): (&mut Option<T>, &mut Vec<String>),
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
        (Answered::Open, Some((usual, why))) => {
            *part = Some(usual);
            format!("{}, {why}", words(usual).as_ref())
        }
        (Answered::Open, None) => "left open".to_owned(),
        (Answered::Words(text), usual) => {
            own.push(format!("{name}: {text}"));
            let stands = usual.map_or_else(
                || "the part is left open".to_owned(),
                |(usual, why)| format!("the part stands at {}, {why}", words(usual).as_ref()),
            );
            *part = usual.map(|(usual, _)| usual);
            format!("your words are kept in the note; {stands}")
        }
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

/// The parts of a write-up that are told, each by its name.
pub(crate) fn parts(write_up: &WriteUp, vehicle: &Vehicle) -> Vec<String> {
    let complaint = write_up.complaint.map(Symptom::word);
    let cause = write_up.cause.map(|cause| verdict_words(cause, vehicle));
    let correction = write_up
        .correction
        .map(|id| vehicle.component(id).id.as_str());
    let note = (!write_up.text.is_empty()).then_some("a note");
    let told = [
        complaint.map(|complaint| format!("complaint {complaint}")),
        cause.map(|cause| format!("cause {cause}")),
        correction.map(|correction| format!("correction {correction}")),
        note.map(str::to_owned),
    ];
    told.into_iter().flatten().collect()
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

/// Asks, and asks once more with choices where the answer names none.
fn ask_twice<T>(
    talk: &mut dyn Talk,
    io: &mut Io<'_>,
    prompt: &str,
    read: impl Fn(&str) -> Result<T, Problem>,
) -> Result<Answered<T>, Failure> {
    let mut again = false;
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
            Err(_) if again => return Ok(Answered::Words(text.trim().to_owned())),
            Err(problem) => io.print(&help::misread(&problem))?,
        }
        again = true;
    }
}
