//! What the driver says is wrong, as kinds a tree can claim to answer.

vocabulary! {
    /// A kind of complaint.
    Complaint, "complaint" {
        Lean = "lean",
        Rich = "rich",
        NoStart = "no-start",
        NoPressure = "no-pressure",
        LowPressure = "low-pressure",
        HighPressure = "high-pressure",
        Load = "load",
        Boost = "boost",
        Idle = "idle",
        Hot = "hot",
        LongCrank = "long-crank",
        Noise = "noise",
        Placement = "placement",
        Gauge = "gauge",
        Ethanol = "ethanol",
        OneCylinder = "one-cylinder",
        Sensing = "sensing",
        FalseReading = "false-reading",
        Electrical = "electrical",
    }
}

impl Complaint {
    /// The complaint as a person would say it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Lean => "runs lean",
            Self::Rich => "runs rich",
            Self::NoStart => "cranks but will not start",
            Self::NoPressure => "no fuel pressure",
            Self::LowPressure => "fuel pressure too low",
            Self::HighPressure => "fuel pressure too high",
            Self::Load => "falls off under load or on hills",
            Self::Boost => "goes lean in boost",
            Self::Idle => "idles badly",
            Self::Hot => "dies hot or will not restart hot",
            Self::LongCrank => "cranks long before it starts",
            Self::Noise => "the pump is loud",
            Self::Placement => "where to connect gauge, reference and sensor",
            Self::Gauge => "the gauge is doubted",
            Self::Ethanol => "fuel changed to ethanol",
            Self::OneCylinder => "one cylinder or one bank is off",
            Self::Sensing => "the load signal or a vacuum leak is suspected",
            Self::FalseReading => "the mixture reading itself is doubted",
            Self::Electrical => "only a multimeter at hand",
        }
    }

    /// Words in a sentence that point to it, without apostrophes; of those joined by `&` the sentence has all, in any order.
    pub fn words(self) -> &'static [&'static str] {
        match self {
            Self::Lean => &[
                "lean",
                "hesitat",
                "surge",
                "surging",
                "backfir",
                "pops",
                "popping",
                "stumbl",
                "stutter",
                "flat spot",
                "bog",
                "jerk",
                "bucks",
                "bucking",
                "spits",
                "cough",
                "sputter",
            ],
            Self::Rich => &[
                "rich",
                "black&smok",
                "black&exhaust",
                "black&plug",
                "soot",
                "foul&plug",
                "wet&plug",
                "flood",
                "smell&fuel",
                "smell&gas",
                "smell&petrol",
                "stink&fuel",
                "stink&gas",
                "stink&petrol",
                "eats fuel",
                "eats gas",
                "drinks",
                "thirsty",
                "mileage",
                "fuel consumption",
                "too much fuel",
                "raw fuel",
                "blubber",
                "eyes&burn",
            ],
            Self::NoStart => &[
                "no start",
                "wont start",
                "will not start",
                "doesnt start",
                "not start",
                "cant start",
                "never start",
                "refuses to start",
                "cranks but",
                "cranks and",
                "turns over but",
                "wont fire",
                "will not fire",
                "doesnt fire",
                "not fire",
                "wont catch",
                "not catch",
                "wont light",
            ],
            Self::NoPressure => &[
                "no pressure",
                "no fuel",
                "zero pressure",
                "pump does not run",
                "pump doesnt run",
                "pump wont run",
                "pump not run",
                "pump is not run",
                "dead pump",
                "pump&dead",
                "pump&silent",
                "hear&pump",
                "not prime",
                "doesnt prime",
                "wont prime",
                "no prime",
            ],
            Self::LowPressure => &[
                "low pressure",
                "low fuel pressure",
                "low rail pressure",
                "pressure too low",
                "pressure is low",
                "pressure&drop",
                "pressure&fall",
                "weak pressure",
                "not enough pressure",
            ],
            Self::HighPressure => &[
                "high pressure",
                "high fuel pressure",
                "high rail pressure",
                "pressure too high",
                "pressure is high",
                "pressure&climb",
                "too much pressure",
            ],
            Self::Load => &[
                "load",
                "hill",
                "uphill",
                "full throttle",
                "wide open",
                "passing",
                "towing",
                "tow",
                "top end",
                "falls off",
                "no power",
                "lack&power",
                "lose&power",
                "losing&power",
                "accelerat",
                "flat out",
                "floor it",
                "floored",
                "foot down",
                "on its face",
                "nose over",
                "noses over",
                "sluggish",
                "high rpm",
                "high revs",
            ],
            Self::Boost => &["boost", "blower", "turbo", "supercharg"],
            Self::Idle => &["idle", "idling", "stall", "at lights", "traffic light", "hunting", "hunts"],
            _ => self.further_words(),
        }
    }

    /// As [`Complaint::words`], of what happens seldom or is no running trouble.
    fn further_words(self) -> &'static [&'static str] {
        match self {
            Self::Hot => &[
                "hot",
                "vapour",
                "vapor",
                "heat soak",
                "after stopping",
                "summer",
                "when warm",
                "once warm",
                "warmed up",
            ],
            Self::LongCrank => &[
                "long crank",
                "cranks long",
                "crank&long",
                "crank&forever",
                "crank&while",
                "long time to start",
                "hard to start",
                "hard start",
                "starts hard",
                "slow to start",
                "forever to start",
                "ages to start",
                "while to start",
                "overnight",
                "after sitting",
                "leaks down",
                "loses pressure",
                "bleeds",
            ],
            Self::Noise => &[
                "noise", "noisy", "loud", "whine", "whining", "buzz", "hums", "humming", "howl", "scream",
                "growl", "squeal",
            ],
            Self::Placement => &[
                "where to connect",
                "where do i connect",
                "where&connect",
                "where&gauge",
                "where&hose",
                "which port",
                "hook up",
            ],
            Self::Gauge => &[
                "gauge wrong",
                "gauge is wrong",
                "gauge doubt",
                "doubt&gauge",
                "trust&gauge",
                "believe&gauge",
                "gauges disagree",
                "gauge reads",
                "gauge&broken",
                "needle&jump",
                "needle&flutter",
            ],
            Self::Ethanol => &["ethanol", "e85", "flex", "alcohol"],
            Self::OneCylinder => &[
                "one cylinder",
                "one bank",
                "one plug",
                "one side",
                "two cylinders",
                "cylinder&dead",
                "misfir",
                "misses",
                "missing on",
                "skips",
            ],
            Self::Sensing => &[
                "vacuum leak",
                "vacuum hose",
                "map sensor",
                "load sensor",
                "throttle sensor",
                "high idle",
                "idles high",
                "idles too high",
                "hiss",
                "whistl",
                "sucks air",
                "sucking air",
            ],
            Self::FalseReading => {
                &["wideband", "o2 sensor", "oxygen sensor", "sensor reads", "false lean", "exhaust leak"]
            }
            Self::Electrical => &["multimeter", "only a meter", "no gauge", "voltage", "electrical", "fuse"],
            _ => &[],
        }
    }

    /// It as a question to the person at the car.
    pub fn question(self) -> &'static str {
        match self {
            Self::Lean => "Does it run lean, hesitate, or pop?",
            Self::Rich => "Does it run rich, smoke black, or drown its plugs?",
            Self::NoStart => "Does it crank and not start?",
            Self::NoPressure => "Is there no fuel pressure at all?",
            Self::LowPressure => "Is the fuel pressure too low?",
            Self::HighPressure => "Is the fuel pressure too high?",
            Self::Load => "Does it happen on hills or at full throttle?",
            Self::Boost => "Does it happen only in boost?",
            Self::Idle => "Does it happen at idle?",
            Self::Hot => "Does it happen hot, or after a stop?",
            Self::LongCrank => "Does it crank long before it starts?",
            Self::Noise => "Is the pump loud?",
            Self::Placement => "Where do gauge, reference and sensor belong?",
            Self::Gauge => "Do you doubt the gauge?",
            Self::Ethanol => "Did the fuel change to ethanol?",
            Self::OneCylinder => "Is it one cylinder, or one bank?",
            Self::Sensing => "Do you suspect the load sensor, or a vacuum leak?",
            Self::FalseReading => "Do you doubt the mixture reading itself?",
            Self::Electrical => "Do you have only a multimeter?",
        }
    }

    /// The kinds a sentence points to. A word counts where a word of the sentence begins with it: "surge" is in "it surges",
    /// "hot" is not in "a photo". Apostrophes do not count. They stand in the order in which the sentence comes to them.
    pub fn in_sentence(sentence: &str) -> Vec<Self> {
        let lower: String =
            sentence.to_lowercase().chars().filter(|c| !matches!(c, '\'' | '\u{2019}')).collect();
        let begins = |word: &str| {
            let mut found = lower.match_indices(word);
            found.find(|(at, _)| !lower[..*at].ends_with(char::is_alphanumeric)).map(|(at, _)| at)
        };
        // Of words that belong together the last says it, as "not" and "start" do.
        let at =
            |words: &&str| words.split('&').map(begins).try_fold(0, |last, at| at.map(|at| last.max(at)));
        let first = |kind: &Self| kind.words().iter().filter_map(at).min();
        let mut kinds: Vec<(usize, Self)> =
            Self::ALL.iter().filter_map(|kind| first(kind).map(|at| (at, *kind))).collect();
        kinds.sort_by_key(|(at, _)| *at);
        kinds.into_iter().map(|(_, kind)| kind).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_points_to_what_its_words_begin_with() {
        let of = |sentence: &str| Complaint::in_sentence(sentence);
        assert_eq!(of("Goes LEAN on long hills"), [Complaint::Lean, Complaint::Load]);
        assert_eq!(of("rich or lean at idle"), [Complaint::Rich, Complaint::Lean, Complaint::Idle]);
        assert_eq!(of("at idle it goes lean or rich"), [Complaint::Idle, Complaint::Lean, Complaint::Rich]);
        assert_eq!(of("it surges"), [Complaint::Lean]);
        assert_eq!(of("see the photo, it is humid"), []);
        assert_eq!(of("won't start when hot"), [Complaint::NoStart, Complaint::Hot]);
        assert_eq!(of(""), []);
    }

    #[test]
    fn every_kind_is_found_by_its_own_words() {
        for kind in Complaint::ALL {
            for word in kind.words() {
                let sentence = word.replace('&', " and ");
                assert!(Complaint::in_sentence(&sentence).contains(kind), "{word}");
            }
        }
    }
}
