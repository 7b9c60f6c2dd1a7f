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

    /// Words in a sentence that point to it.
    pub fn words(self) -> &'static [&'static str] {
        match self {
            Self::Lean => &["lean", "hesitat", "surge", "backfire", "pops", "stumble", "flat spot"],
            Self::Rich => {
                &["rich", "black smoke", "soot", "fouled plugs", "smells of fuel", "flood", "eats fuel"]
            }
            Self::NoStart => &[
                "no start",
                "won't start",
                "wont start",
                "will not start",
                "doesn't start",
                "not start",
                "cranks but",
            ],
            Self::NoPressure => &[
                "no pressure",
                "no fuel",
                "zero pressure",
                "pump does not run",
                "pump doesn't run",
                "dead pump",
            ],
            Self::LowPressure => &["low pressure", "pressure too low", "pressure is low"],
            Self::HighPressure => &["high pressure", "pressure too high", "pressure is high"],
            Self::Load => &[
                "load",
                "hill",
                "full throttle",
                "wide open",
                "passing",
                "towing",
                "top end",
                "falls off",
                "no power",
            ],
            Self::Boost => &["boost", "blower", "turbo", "supercharg"],
            Self::Idle => &["idle", "stalls at lights", "hunting"],
            Self::Hot => &["hot", "vapour", "vapor", "heat soak", "after stopping", "summer"],
            Self::LongCrank => &[
                "long crank",
                "cranks long",
                "long time to start",
                "leaks down",
                "loses pressure",
                "bleeds down",
            ],
            Self::Noise => &["noise", "loud", "whine", "buzz", "hums", "humming"],
            Self::Placement => &["where to connect", "where do i connect", "which port", "hook up"],
            Self::Gauge => {
                &["gauge wrong", "gauge doubt", "trust the gauge", "gauges disagree", "gauge reads"]
            }
            Self::Ethanol => &["ethanol", "e85", "flex", "alcohol"],
            Self::OneCylinder => {
                &["one cylinder", "one bank", "one plug", "two cylinders", "misfire", "misses"]
            }
            Self::Sensing => &["vacuum leak", "map sensor", "load sensor", "throttle sensor", "high idle"],
            Self::FalseReading => &["wideband", "o2 sensor", "sensor reads", "false lean", "exhaust leak"],
            Self::Electrical => &["multimeter", "only a meter", "no gauge", "voltage", "electrical"],
        }
    }

    /// The kinds a sentence points to. A word counts where a word of the sentence begins with it: "surge" is in "it surges",
    /// "hot" is not in "a photo".
    pub fn in_sentence(sentence: &str) -> Vec<Self> {
        let lower = sentence.to_lowercase();
        let begins = |word: &str| {
            lower.match_indices(word).any(|(at, _)| !lower[..at].ends_with(char::is_alphanumeric))
        };
        Self::ALL.iter().filter(|k| k.words().iter().any(|w| begins(w))).copied().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_points_to_what_its_words_begin_with() {
        let of = |sentence: &str| Complaint::in_sentence(sentence);
        assert_eq!(of("Goes LEAN on long hills"), [Complaint::Lean, Complaint::Load]);
        assert_eq!(of("it surges"), [Complaint::Lean]);
        assert_eq!(of("see the photo, it is humid"), []);
        assert_eq!(of("won't start when hot"), [Complaint::NoStart, Complaint::Hot]);
        assert_eq!(of(""), []);
    }

    #[test]
    fn every_kind_is_found_by_its_own_words() {
        for kind in Complaint::ALL {
            for word in kind.words() {
                assert!(Complaint::in_sentence(word).contains(kind), "{word}");
            }
        }
    }
}
