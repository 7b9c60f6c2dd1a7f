//! Why no finding may be named now, in words.

use super::conclusion::{ALONE, SURE, thousandths};
use crate::terms::{Fault, Part};
use crate::walk::Hindrance;

/// What stands against naming a finding.
#[derive(Debug, Clone, PartialEq)]
pub enum Unnamed {
    /// The walk stands at no step and at no end that could give way, or the finding at hand was named so.
    NotHere,
    /// The tree came to an end that the odds do not speak against, or not surely enough: what they name beside it, if anything.
    EndStands(Option<(Fault, f64)>),
    /// Nothing is sure enough yet: the likeliest part and its probability.
    NotSure(Part, f64),
    /// Nothing was read or seen yet.
    Unseen,
    /// By the odds it is likeliest that nothing is wrong, with this probability.
    Sound(f64),
    /// The tree has no finding for it.
    NoFinding(Fault),
    /// Nothing was measured.
    Unmeasured(Fault),
    /// No fuel pressure was read, without which nobody changes this.
    NoPressure(Fault),
    /// All that was given is in order.
    InOrder,
    /// Something is half done at the car, or its repair could not be proved.
    HalfDone(Hindrance),
    /// No fault of the catalogue explains everything.
    Unexplained,
    /// Something does not go with the rest: what, and whether it may be seen again now.
    Odd(String, bool),
    /// It hangs on one thing: what, what would be named without it, and whether it may be seen again now.
    Hangs(String, Part, bool),
}

/// A part in words.
pub(super) fn part_name(part: Part) -> String {
    part.id().replace('-', " ")
}

impl Unnamed {
    /// Why, in a sentence or two, for a screen or a line; `again` says how a thing is seen again there.
    pub fn words(&self, again: &str) -> String {
        let once_more = |now: bool| if now { format!(" {again}") } else { String::new() };
        let why = match self {
            Self::NotHere => "nothing is named by the odds where the case stands".to_owned(),
            Self::EndStands(None) => {
                "the tree has come to its end, and the odds do not speak for another".to_owned()
            }
            Self::EndStands(Some((fault, p))) => format!(
                "the tree has come to its end, and the odds are not sure enough of another ({}: {}; it takes {} or more)",
                fault.name(),
                thousandths(*p),
                thousandths(ALONE)
            ),
            Self::NotSure(part, p) => format!(
                "nothing is sure enough yet. The likeliest part, {} with all its faults, stands at {}; it takes {} or more",
                part_name(*part),
                thousandths(*p),
                thousandths(SURE)
            ),
            Self::Unseen => "nothing was read or seen yet".to_owned(),
            Self::Sound(p) => {
                format!("by all that was seen it is likeliest that nothing is wrong ({})", thousandths(*p))
            }
            Self::NoFinding(fault) => format!("this tree has no finding for {}", fault.name()),
            Self::Unmeasured(fault) => {
                format!("nothing was measured yet, and {} is not named on looks alone", fault.name())
            }
            Self::NoPressure(fault) => {
                format!("no fuel pressure was read yet, and {} is not named without one", fault.name())
            }
            Self::InOrder => "all that was read and seen is in order".to_owned(),
            Self::HalfDone(what) => format!("something is half done at the car: {}", half_done(*what)),
            Self::Unexplained => "no single fault of the catalogue explains everything seen".to_owned(),
            Self::Odd(what, now) => {
                return format!(
                    "Nothing can be named: '{what}' does not go with the rest.{}",
                    once_more(*now)
                );
            }
            Self::Hangs(what, instead, now) => {
                let instead = match instead {
                    Part::Nothing => "nothing would seem wrong".to_owned(),
                    part => format!("it would be the {}", part_name(*part)),
                };
                return format!(
                    "Nothing can be named: all hangs on '{what}', without which {instead}.{}",
                    once_more(*now)
                );
            }
        };
        format!("Nothing can be named: {why}.")
    }
}

/// What has to be put right at the car first.
fn half_done(what: Hindrance) -> String {
    match what {
        Hindrance::MustHold(state) => format!("it does not hold yet: {}", state.name()),
        Hindrance::PutBack(state) => format!("not put back yet: {}", state.name()),
        _ => "work stands still".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_almost_sure_is_never_said_with_the_figure_it_lacks() {
        let said = |p: f64| Unnamed::NotSure(Part::Pump, p).words("");
        let near = said(0.994_9);
        assert!(near.contains("stands at 994 in 1,000; it takes 995 in 1,000 or more"), "{near}");
        assert!(said(0.3).contains("stands at 300 in 1,000; it takes 995"), "{}", said(0.3));
        assert!(said(0.000_4).contains("stands at under 1 in 1,000"), "{}", said(0.000_4));
        let end = Unnamed::EndStands(Some((Fault::PumpWorn, 0.899))).words("");
        assert!(end.contains("899 in 1,000; it takes 900 in 1,000 or more"), "{end}");
        assert_eq!(
            (thousandths(SURE).as_str(), thousandths(1.0).as_str()),
            ("995 in 1,000", "over 999 in 1,000")
        );
    }
}
