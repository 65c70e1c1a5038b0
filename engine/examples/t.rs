use groundside_engine::attempt::{Assignment, Attempt};
use groundside_engine::file::{read_scenario, read_vehicle};
use groundside_engine::learners::*;
use groundside_engine::marking::{Drivers, FaultDictionary, Marker};
use groundside_engine::random::Seed;
use std::sync::Arc;
use std::time::Instant;
fn cpu() -> f64 {
    let s = std::fs::read_to_string("/proc/self/stat").unwrap();
    let f: Vec<&str> = s.rsplit(')').next().unwrap().split_whitespace().collect();
    (f[11].parse::<f64>().unwrap() + f[12].parse::<f64>().unwrap()) / 100.0
}
fn main() {
    let mut a = std::env::args().skip(1);
    let (v, s, n) = (
        a.next().unwrap(),
        a.next().unwrap(),
        a.next().unwrap().parse::<u64>().unwrap(),
    );
    let (vehicle, _) = read_vehicle(&std::fs::read_to_string(v).unwrap()).unwrap();
    let scenario = read_scenario(&std::fs::read_to_string(s).unwrap()).unwrap();
    let (sound, scenario) = (Arc::new(vehicle), Arc::new(scenario));
    let c = cpu();
    let drivers = Arc::new(Drivers::of(&sound, &scenario).unwrap());
    println!("drivers {:.2}", cpu() - c);
    let along = std::env::var("ALONG").is_ok();
    let only = std::env::var("ONLY").ok();
    let c = cpu();
    let dictionary = FaultDictionary::of((*drivers).clone()).unwrap();
    println!("dictionary {:.2}", cpu() - c);
    for seed in 1..=n {
        let attempt = dictionary.start(Seed(seed)).unwrap();
        let c = cpu();
        let quick = Marker::by(&dictionary, &attempt).unwrap();
        println!("seed {seed} marker {:.2}", cpu() - c);
        let slow = along.then(|| Marker::with(&drivers, &attempt).unwrap());
        for habit in Habit::ALL {
            if only.as_deref().is_some_and(|o| o != habit.word()) {
                continue;
            }
            for (name, marker) in [("quick", Some(&quick)), ("along", slow.as_ref())] {
                let Some(marker) = marker else { continue };
                let c = cpu();
                let t = Instant::now();
                let (done, d) = Learner { habit, slips: 0.0 }
                    .play(marker, attempt.clone(), Seed(seed))
                    .unwrap();
                if std::env::var("SHOW").is_ok() {
                    for l in &d.lines {
                        println!(
                            "    {} {} bits {:.2}/{:.2} suspects {:?} lost {}",
                            l.n, l.action, l.expected_bits, l.bits, l.suspects, l.lost
                        );
                    }
                    println!("{:?}", d.suspects);
                }
                println!(
                    "  {name} {:10} cpu {:.2} wall {:.2} actions {:3} total {:?} lost {:.2} luck {:.1} par {} {}",
                    habit.word(),
                    cpu() - c,
                    t.elapsed().as_secs_f64(),
                    done.events().len(),
                    d.score.map(|s| s.total),
                    d.lost.as_minutes(),
                    d.balance.luck,
                    d.par,
                    d.fault_name
                );
            }
        }
    }
}
