//! The write-up at hand-over: asked for part by part, or filled from what was done.

use groundside_engine::attempt::Attempt;
use groundside_engine::world::{Action, TEXT_MAX, WriteUp};

use crate::Io;
use crate::language::{Language, Problem};
use crate::problem::Failure;
use crate::render::help;
use crate::style::{Page, Tone, listed};
use crate::talk::Talk;

/// Asks a person for the write-up part by part; whatever is left out stays open.
pub(crate) fn form(
    language: &Language<'_>,
    talk: &mut dyn Talk,
    io: &mut Io<'_>,
) -> Result<WriteUp, Failure> {
    let mut write_up = WriteUp::default();
    if talk.is_script() {
        // Nobody can be asked: a script hands over on one line.
        return Ok(write_up);
    }
    let symptoms = groundside_engine::scenario::Symptom::ALL.map(|symptom| symptom.word());
    let told = format!(
        "Complaint, as you saw it yourself: {}.",
        listed(&symptoms, "or")
    );
    io.print(&Page::of(Tone::Plain, told))?;
    let prompt = "Complaint (Enter: leave open): ";
    write_up.complaint = ask_until(talk, io, prompt, |text| language.read_symptom(text))?;
    let prompt = "Cause, as component and failure (Enter: as concluded): ";
    write_up.cause = ask_until(talk, io, prompt, |text| language.read_verdict(text))?;
    let prompt = "Correction, the component put right (Enter: the last repair): ";
    write_up.correction = ask_until(talk, io, prompt, |text| language.read_component(text))?;
    let text = talk
        .part("In your own words (Enter: nothing): ", io)?
        .unwrap_or_default();
    write_up.text = text
        .chars()
        .filter(|character| !character.is_control())
        .take(TEXT_MAX)
        .collect();
    Ok(write_up)
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

/// Asks until the answer reads, is empty, or there is none.
fn ask_until<T>(
    talk: &mut dyn Talk,
    io: &mut Io<'_>,
    prompt: &str,
    read: impl Fn(&str) -> Result<T, Problem>,
) -> Result<Option<T>, Failure> {
    loop {
        let Some(text) = talk.part(prompt, io)? else {
            return Ok(None);
        };
        if text.trim().is_empty() {
            return Ok(None);
        }
        match read(&text) {
            Ok(part) => return Ok(Some(part)),
            Err(problem) => io.print(&help::misread(&problem))?,
        }
    }
}
