//! What a technician sees, hears or finds, and the answers possible, the one that means nothing is wrong first.

vocabulary! {
    /// Something looked at, listened to or tried, answered by one of a few outcomes.
    Observation, "observation" {
        FuelInTank = "fuel-in-tank",
        FuelSmellOrLeak = "fuel-smell-or-leak",
        FuelAge = "fuel-age",
        RecentWork = "recent-work",
        PrimeSound = "prime-sound",
        ReferenceHoseInside = "reference-hose-inside",
        ReferenceHoseRouting = "reference-hose-routing",
        LoadSensorHose = "load-sensor-hose",
        HosesByEye = "hoses-by-eye",
        StrainerByEye = "strainer-by-eye",
        FilterByEye = "filter-by-eye",
        CapOpened = "cap-opened",
        InjectorDrip = "injector-drip",
        InjectorClick = "injector-click",
        ExhaustJoint = "exhaust-joint",
        SmokeTest = "smoke-test",
        EthanolTest = "ethanol-test",
        PumpHotNoise = "pump-hot-noise",
        ConfiguredPressure = "configured-pressure",
        ConfiguredInjector = "configured-injector",
        ConfiguredEngine = "configured-engine",
        SensorFreeAir = "sensor-free-air",
        CoolantAgainstAirCold = "coolant-against-air-cold",
        TimingLight = "timing-light",
        PlugsByEye = "plugs-by-eye",
        PumpPlaced = "pump-placed",
        PumpFuse = "pump-fuse",
        InertiaSwitch = "inertia-switch",
        RelaySwap = "relay-swap",
        TriggerAtRelay = "trigger-at-relay",
        AirFilter = "air-filter",
        EngineSpeedShown = "engine-speed-shown",
        OldPumpInLine = "old-pump-in-line",
        PumpConnector = "pump-connector",
        LiftPumpSound = "lift-pump-sound",
        GaugeZero = "gauge-zero",
        GaugeAgainstSecond = "gauge-against-second",
        HeldFeedClosed = "held-feed-closed",
        HeldReturnClosed = "held-return-closed",
        RegulatorOnHandPump = "regulator-on-hand-pump",
        LambdaHeater = "lambda-heater",
        EngineEven = "engine-even",
        FuelAddedAtIdle = "fuel-added-at-idle",
        ThrottleSensorSweep = "throttle-sensor-sweep",
        AirSensorAgainstAir = "air-sensor-against-air",
        InjectorSpray = "injector-spray",
        TankHoseByEye = "tank-hose-by-eye",
        RegulatorSetting = "regulator-setting",
        FuelBubbles = "fuel-bubbles",
    }
}

/// One possible answer to an observation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Outcome {
    /// The stable id.
    pub id: &'static str,
    /// What it means, in words.
    pub name: &'static str,
}

impl Outcome {
    /// Whether it says anything of the faults in the catalogue. "Cannot be told" speaks neither for nor against anything; and fuel that
    /// escapes is no fault of the catalogue: it is mended where it is seen, whatever else the car has.
    pub fn tells(&self) -> bool {
        !matches!(self.id, "unknown" | "leak")
    }
}

const fn o(id: &'static str, name: &'static str) -> Outcome {
    Outcome { id, name }
}

impl Observation {
    /// Its answers; the first means nothing is wrong. `ethanol-test` is answered by a percentage, which the session turns
    /// into one of these by comparing it with what the controller was told.
    pub fn outcomes(self) -> &'static [Outcome] {
        match self {
            Self::FuelInTank => {
                const { &[o("enough", "enough fuel"), o("low", "low or empty"), o("unknown", "cannot be told")] }
            }
            Self::FuelSmellOrLeak => {
                const { &[o("none", "no smell, no leak"), o("leak", "fuel is smelt or seen")] }
            }
            Self::FuelAge => {
                const {
                    &[
                        o("fresh", "fresh and clear"),
                        o("stale", "stale"),
                        o("water", "water or a second layer"),
                    ]
                }
            }
            Self::RecentWork => {
                const { &[o("none", "no recent work"), o("some", "something was changed lately")] }
            }
            Self::PrimeSound => {
                const {
                    &[
                        o("normal", "runs for its usual seconds"),
                        o("silent", "no sound"),
                        o("strained", "strained, slow or loud"),
                        o("cycling", "starts and stops"),
                    ]
                }
            }
            Self::ReferenceHoseInside => const { &[o("dry", "dry inside"), o("wet", "wet with fuel")] },
            Self::ReferenceHoseRouting => {
                const {
                    &[
                        o("right", "as it should be: on its port, or none where none belongs"),
                        o("off", "off: none where one belongs"),
                        o("cracked", "cracked or loose"),
                        o("wrong-port", "at another port"),
                    ]
                }
            }
            Self::LoadSensorHose => {
                const {
                    &[
                        o("right", "sound, at the plenum"),
                        o("cracked", "cracked or loose"),
                        o("wrong-port", "at another port"),
                    ]
                }
            }
            Self::HosesByEye => {
                const {
                    &[
                        o("sound", "sound and rightly routed"),
                        o("kinked", "kinked or crushed"),
                        o("collapsed", "collapsed on the suction side"),
                        o("swapped", "feed and return swapped"),
                    ]
                }
            }
            Self::StrainerByEye | Self::FilterByEye | Self::AirFilter => {
                const { &[o("clean", "clean"), o("blocked", "blocked")] }
            }
            Self::CapOpened => {
                const {
                    &[
                        o("no-hiss", "no hiss"),
                        o("inrush", "air rushed in"),
                        o("outrush", "vapour rushed out"),
                    ]
                }
            }
            Self::InjectorDrip => const { &[o("dry", "dry"), o("drips", "drips")] },
            Self::InjectorClick => const { &[o("all", "all click alike"), o("one-silent", "one is silent")] },
            Self::ExhaustJoint | Self::SmokeTest => const { &[o("tight", "tight"), o("leaking", "leaking")] },
            Self::EthanolTest => {
                const {
                    &[
                        o("as-configured", "as the controller was told"),
                        o("more", "more ethanol than the controller was told"),
                        o("less", "less ethanol than the controller was told"),
                    ]
                }
            }
            Self::PumpHotNoise => const { &[o("quiet", "quiet"), o("whine", "whines when hot")] },
            Self::ConfiguredPressure | Self::ConfiguredInjector | Self::ConfiguredEngine => {
                const { &[o("matches", "matches what is fitted"), o("differs", "differs from what is fitted")] }
            }
            Self::SensorFreeAir => {
                const { &[o("right", "reads free air"), o("off", "does not read free air")] }
            }
            Self::CoolantAgainstAirCold | Self::AirSensorAgainstAir => {
                const { &[o("agree", "agree within 3 °C"), o("differ", "differ")] }
            }
            Self::TimingLight => {
                const { &[o("agrees", "agrees with the command"), o("differs", "differs from the command")] }
            }
            Self::PlugsByEye => {
                const {
                    &[
                        o("alike", "all alike"),
                        o("one-lean", "one lean"),
                        o("one-bank-lean", "one bank lean"),
                        o("sooty", "sooty"),
                    ]
                }
            }
            Self::PumpPlaced => {
                const {
                    &[
                        o("in-tank", "in the tank"),
                        o("below-level", "outside, below the fuel level"),
                        o("above-level", "outside, above the fuel level"),
                    ]
                }
            }
            Self::PumpFuse => const { &[o("good", "good"), o("open", "open")] },
            Self::InertiaSwitch => {
                const {
                    &[
                        o("closed", "closed, it conducts"),
                        o("open", "open, it does not conduct"),
                        o("none", "not fitted"),
                    ]
                }
            }
            Self::RelaySwap => const { &[o("no-change", "no change"), o("runs", "the pump now runs")] },
            Self::TriggerAtRelay => const { &[o("present", "present"), o("missing", "missing")] },
            Self::EngineSpeedShown => {
                const { &[o("cranks", "shows cranking speed"), o("zero", "shows zero")] }
            }
            Self::OldPumpInLine => {
                const { &[o("none", "none"), o("present", "an old pump is still in line")] }
            }
            Self::PumpConnector => {
                const { &[o("sound", "tight and clean"), o("open", "loose, burnt or off")] }
            }
            Self::LiftPumpSound => {
                const { &[o("normal", "runs"), o("silent", "silent"), o("none", "no lift pump fitted")] }
            }
            Self::GaugeZero => const { &[o("zero", "at zero"), o("off", "not at zero")] },
            Self::GaugeAgainstSecond => const { &[o("agree", "agree"), o("differ", "differ")] },
            Self::HeldFeedClosed | Self::HeldReturnClosed => {
                const { &[o("falls", "still falls"), o("holds", "now holds")] }
            }
            Self::RegulatorOnHandPump => {
                const { &[o("follows", "pressure follows smoothly"), o("no-answer", "no answer or sticks")] }
            }
            Self::LambdaHeater => const { &[o("good", "full supply"), o("low", "low supply")] },
            Self::EngineEven => const { &[o("even", "fires evenly"), o("misses", "misses")] },
            Self::FuelAddedAtIdle => {
                const { &[o("smoother", "runs smoother"), o("rougher", "runs rougher or no better")] }
            }
            Self::ThrottleSensorSweep => {
                const { &[o("smooth", "smooth, right at both ends"), o("off", "off or jumps")] }
            }
            Self::InjectorSpray => {
                const { &[o("alike", "all alike"), o("one-weak", "one weak"), o("all-weak", "all weak")] }
            }
            Self::TankHoseByEye => const { &[o("sound", "sound"), o("leaking", "split or off its barb")] },
            Self::FuelBubbles => const { &[o("none", "no bubbles"), o("bubbles", "bubbles")] },
            Self::RegulatorSetting => {
                const { &[o("as-noted", "as noted at set-up"), o("moved", "screw or spring moved")] }
            }
        }
    }

    /// The outcome of that id, if this observation has it.
    pub fn outcome(self, id: &str) -> Option<&'static Outcome> {
        self.outcomes().iter().find(|o| o.id == id)
    }

    /// Whether the answer is a measured percentage rather than a choice.
    pub fn is_percentage(self) -> bool {
        self == Self::EthanolTest
    }

    /// The observation in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::FuelInTank => "fuel in the tank",
            Self::FuelSmellOrLeak => "fuel smell or leak",
            Self::FuelAge => "age of the fuel",
            Self::RecentWork => "recent work",
            Self::PrimeSound => "sound of the pump at key-on",
            Self::ReferenceHoseInside => "inside of the reference hose",
            Self::ReferenceHoseRouting => "routing of the reference hose",
            Self::LoadSensorHose => "hose of the load sensor",
            Self::HosesByEye => "fuel hoses by eye",
            Self::StrainerByEye => "inlet strainer by eye",
            Self::FilterByEye => "feed filter cut open",
            Self::CapOpened => "filler cap opened slowly",
            Self::InjectorDrip => "injectors for drips",
            Self::InjectorClick => "injectors for clicking",
            Self::ExhaustJoint => "exhaust joints before the sensor",
            Self::SmokeTest => "intake under smoke",
            Self::EthanolTest => "ethanol content by water test",
            Self::PumpHotNoise => "pump noise when hot",
            Self::ConfiguredPressure => "pressure the controller was told",
            Self::ConfiguredInjector => "injector data the controller was told",
            Self::ConfiguredEngine => "engine size the controller was told",
            Self::SensorFreeAir => "exhaust sensor in free air",
            Self::CoolantAgainstAirCold => "coolant against air sensor, cold",
            Self::TimingLight => "ignition timing by light",
            Self::PlugsByEye => "spark plugs by eye",
            Self::PumpPlaced => "where the pump is mounted",
            Self::PumpFuse => "pump fuse",
            Self::InertiaSwitch => "inertia switch",
            Self::RelaySwap => "relay swapped for a like one",
            Self::TriggerAtRelay => "trigger at the relay",
            Self::AirFilter => "air filter",
            Self::EngineSpeedShown => "engine speed shown while cranking",
            Self::OldPumpInLine => "old pump left in line",
            Self::PumpConnector => "connector at the pump",
            Self::LiftPumpSound => "sound of the lift pump",
            Self::GaugeZero => "gauge at zero, open to air",
            Self::GaugeAgainstSecond => "gauge against a second one",
            Self::HeldFeedClosed => "held pressure with the feed closed",
            Self::HeldReturnClosed => "held pressure with the return closed",
            Self::RegulatorOnHandPump => "regulator on a hand pump",
            Self::LambdaHeater => "supply of the sensor's heater",
            Self::EngineEven => "evenness of the engine",
            Self::FuelAddedAtIdle => "engine when fuel is added at idle",
            Self::ThrottleSensorSweep => "throttle sensor swept",
            Self::AirSensorAgainstAir => "air temperature sensor against a thermometer",
            Self::InjectorSpray => "spray of the injectors",
            Self::TankHoseByEye => "hose inside the tank",
            Self::RegulatorSetting => "setting of the regulator",
            Self::FuelBubbles => "bubbles after the pump",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_observation_has_two_or_more_outcomes_with_ids_of_their_own() {
        for o in Observation::ALL {
            let mut ids: Vec<_> = o.outcomes().iter().map(|x| x.id).collect();
            assert!(ids.len() >= 2, "{o}");
            ids.sort_unstable();
            ids.dedup();
            assert_eq!(ids.len(), o.outcomes().len(), "{o}");
        }
    }
}
