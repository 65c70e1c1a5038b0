//! Marks and debrief as JSON, for programs.

use groundside_engine::marking::{CheckLine, Debrief, Score, Trial, weights};
use groundside_engine::vehicle::Vehicle;
use serde::Serialize;
use serde_json::{Value, json};

use super::debrief::{ids, verdict_name};

/// The marks as written in JSON.
#[derive(Serialize)]
struct Marks {
    correctness: f64,
    concluded: f64,
    founded: f64,
    order: f64,
    time: f64,
    safety: f64,
    hand_over: f64,
    total: f64,
    unsafe_points: f64,
    unseen_points: f64,
}

impl From<&Score> for Marks {
    fn from(score: &Score) -> Self {
        let Score {
            correctness,
            concluded,
            founded,
            order,
            time,
            safety,
            hand_over,
            total,
            unsafe_points,
            unseen_points,
        } = *score;
        Self {
            correctness,
            concluded,
            founded,
            order,
            time,
            safety,
            hand_over,
            total,
            unsafe_points,
            unseen_points,
        }
    }
}

/// The last line of a practice in JSON.
#[derive(Serialize)]
pub(crate) struct Ending {
    result: Outcome,
}

#[derive(Serialize)]
struct Outcome {
    verdict: Option<&'static str>,
    score: Option<Marks>,
    minutes: f64,
}

impl Ending {
    /// That of an attempt that was marked.
    pub(crate) fn of(debrief: &Debrief) -> Self {
        Self {
            result: Outcome {
                verdict: Some(debrief.level.word()),
                score: debrief.score.as_ref().map(Marks::from),
                minutes: debrief.minutes.as_minutes(),
            },
        }
    }

    /// That of an attempt that goes on later.
    pub(crate) fn open(minutes: f64) -> Self {
        Self {
            result: Outcome {
                verdict: None,
                score: None,
                minutes,
            },
        }
    }
}

/// The whole debrief, as JSON.
pub(crate) fn document(debrief: &Debrief, vehicle: &Vehicle) -> Value {
    let lines: Vec<Value> = debrief.lines.iter().map(line_json).collect();
    let route: Vec<Value> = debrief
        .route
        .iter()
        .map(|step| {
            json!({
                "check": step.check, "minutes": step.minutes.as_minutes(), "here": step.here,
                "sound": step.sound, "suspects": step.suspects, "so_far": step.so_far.as_minutes(),
            })
        })
        .collect();
    let suspects: Vec<Value> = debrief
        .suspects
        .iter()
        .map(|suspect| json!({"fault": suspect.fault, "belief": suspect.belief}))
        .collect();
    let ends: Vec<Value> = debrief
        .route_ends
        .iter()
        .map(|end| {
            let repair = |repair: &Trial| {
                json!({"repair": repair.repair, "belief": repair.belief, "minutes": repair.minutes.as_minutes()})
            };
            let repairs: Vec<Value> = end.repairs.iter().map(repair).collect();
            json!({"after": end.after, "proven": end.proven, "repairs": repairs})
        })
        .collect();
    let costly = debrief.costly.iter().map(|costly| {
        let line = &debrief.lines[costly.line];
        json!({
            "n": line.n, "action": line.action, "points": costly.points, "time": costly.time, "order": costly.order,
            "unsafe": costly.unsafe_points,
        })
    });
    let costly: Vec<Value> = costly.collect();
    let swaps = debrief.swaps.iter().map(|swap| {
        let line = &debrief.lines[swap.line];
        json!({"n": line.n, "part": vehicle.component(swap.part).id.as_str(), "came": swap.came.word()})
    });
    let swaps: Vec<Value> = swaps.collect();
    let balance = &debrief.balance;
    let balance = json!({
        "expected": balance.expected, "repair": balance.repair, "lost": balance.lost, "let_pass": balance.let_pass,
        "saved": balance.saved, "luck": balance.luck, "left": balance.left,
    });
    json!({
        "second": debrief.second.as_ref().map(|second| json!({
            "fault": second.fault_name, "region": second.region.word(), "verdict": second.level.word(),
            "put_right": second.put_right,
        })),
        "marking": weights::MARKING_VERSION,
        "main_verdict": debrief.main_level.word(), "main_put_right": debrief.main_put_right,
        "fault": debrief.fault_name, "region": debrief.region.word(), "symptom": debrief.symptom.word(),
        "concluded": debrief.verdict.map(|verdict| verdict_name(verdict, vehicle)),
        "verdict": debrief.level.word(), "cured": debrief.cured, "needless_repairs": ids(&debrief.needless_repairs, vehicle),
        "consequences": ids(&debrief.consequences, vehicle), "balance": balance,
        "score": debrief.score.as_ref().map(Marks::from), "cap": debrief.cap, "band": debrief.band,
        "par": debrief.par.as_minutes(), "time_base": debrief.time_base.as_minutes(), "minutes": debrief.minutes.as_minutes(),
        "lost": debrief.lost.as_minutes(), "suspects": suspects, "coverage": debrief.coverage,
        "not_seen": debrief.not_seen, "write_up": debrief.write_up, "lines": lines, "route": route,
        "route_ends": ends, "costly": costly, "swaps": swaps, "suspected_late": debrief.stated_late,
    })
}

fn line_json(line: &CheckLine) -> Value {
    let better = line.better.as_ref().map(|better| {
        json!({"first": better.first, "check": better.check, "bits": better.bits, "minutes": better.minutes.as_minutes()})
    });
    let hazards: Vec<&str> = line.hazards.iter().map(|hazard| hazard.word()).collect();
    json!({
        "n": line.n, "action": line.action, "minutes": line.minutes.as_minutes(),
        "is_check": line.is_check, "is_repair": line.is_repair,
        "confirms": line.confirms, "led_up": line.led_up.as_minutes(), "verifies": line.verifies,
        "expected_bits": line.expected_bits, "bits": line.bits, "moved": line.moved, "suspects": line.suspects,
        "lost": line.lost.as_minutes(), "efficiency": line.efficiency, "better": better,
        "repair_chance": line.repair_chance, "hazards": hazards, "parts": line.parts, "luck": line.luck,
        "explains": line.explains, "consequence": line.consequence, "proves": line.proves,
        "repeats": line.repeats, "let_pass": line.let_pass, "hands": line.hands.word(),
    })
}
