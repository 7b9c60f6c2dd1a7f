//! Walks that take every offer of the odds: shorter, and right as often.

use super::{rig, tree_of};
use faultwalk::belief::Particles;
use faultwalk::faults::noticed;
use faultwalk::prove::{Injected, ProofCar, Walker, guided};
use faultwalk::terms::Fault;
use std::sync::Arc;

#[test]
fn as_the_odds_advise_a_walk_is_shorter_and_names_no_more_sound_parts() {
    let (tree, rig) = (tree_of("runs-lean"), rig("orchard-pickup"));
    let particles = Arc::new(Particles::draw(&rig, 32, 1));
    let mut walker = Walker::new(&tree, &rig);
    let (mut authored, mut advised) = ((0, 0, 0.0), (0, 0, 0.0));
    let mut early = 0;
    let faults = tree.finds.iter().copied().filter(|f| *f != Fault::NoFault).step_by(5);
    for fault in faults {
        let Ok(car) = ProofCar::draw(&rig, fault, 7 + fault as u64) else { continue };
        let car = car.carefully();
        let (fault, severity) = car.fault();
        if !noticed(&rig, fault, severity) {
            continue;
        }
        let injected = Injected { fault, severity };
        let count = |sum: &mut (u32, u32, f64), o: &faultwalk::prove::Outcome| {
            *sum = (sum.0 + u32::from(o.right()), sum.1 + u32::from(o.wrong()), sum.2 + o.minutes);
        };
        count(&mut authored, &walker.on(&car, injected, None, None));
        car.rewind();
        let led = guided(&tree, &rig, &particles, &car, injected, None);
        count(&mut advised, &led.outcome);
        early += u32::from(led.early);
    }
    println!("authored {authored:?}, as the odds advise {advised:?}, {early} of them named early");
    assert!(authored.0 >= 6, "too few cars to say anything: {authored:?}");
    assert!(advised.0 >= authored.0 && advised.1 <= authored.1, "{advised:?} against {authored:?}");
    assert!(advised.2 < 0.8 * authored.2 && early > 3, "{advised:?} against {authored:?}, {early} early");
}
