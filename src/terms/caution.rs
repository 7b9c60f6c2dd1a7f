//! Cautions: signal word by ANSI Z535.6, and in each the hazard, what it does, and how to avoid it.

vocabulary! {
    /// How grave the hazard is, in the signal words of ANSI Z535.6.
    SignalWord, "signal word" {
        /// Will kill or injure gravely if not avoided.
        Danger = "DANGER",
        /// Could kill or injure gravely.
        Warning = "WARNING",
        /// Could injure lightly.
        Caution = "CAUTION",
        /// Could damage property only.
        Notice = "NOTICE",
    }
}

vocabulary! {
    /// A caution that stands before a step.
    Caution, "caution" {
        FuelUnderPressure = "fuel-under-pressure",
        OpenFuel = "open-fuel",
        FuelVapour = "fuel-vapour",
        FuelLeak = "fuel-leak",
        FuelSample = "fuel-sample",
        GaugeHose = "gauge-hose",
        RunningEngine = "running-engine",
        HotParts = "hot-parts",
        MovingParts = "moving-parts",
        LoadRun = "load-run",
        BoostedIntake = "boosted-intake",
        ReturnValve = "return-valve",
        VolumeTest = "volume-test",
        ReferenceHoseFuel = "reference-hose-fuel",
        FloodedCylinder = "flooded-cylinder",
        UnderCar = "under-car",
        BatterySpark = "battery-spark",
        LiveCircuit = "live-circuit",
        ClampOnWire = "clamp-on-wire",
        CrankingEngine = "cranking-engine",
        TankOpening = "tank-opening",
        SmokeTest = "smoke-test",
        IgnitionVoltage = "ignition-voltage",
        PumpDry = "pump-dry",
        LeanUnderLoad = "lean-under-load",
    }
}

/// What the program says once at the start and in each report.
pub const FIRST_WORD: &str = "The car maker's manual, local codes and licensed practice come first. Work outdoors or with \
the doors open, no flame, no smoking, no pilot light, a class B extinguisher within reach, eye protection on. If \
anything here disagrees with the maker's manual, follow the manual.";

impl Caution {
    /// How grave it is.
    pub fn signal(self) -> SignalWord {
        match self {
            Self::FuelLeak | Self::VolumeTest | Self::TankOpening => SignalWord::Danger,
            Self::FuelUnderPressure
            | Self::OpenFuel
            | Self::FuelVapour
            | Self::FuelSample
            | Self::GaugeHose
            | Self::RunningEngine
            | Self::MovingParts
            | Self::LoadRun
            | Self::ReturnValve
            | Self::ReferenceHoseFuel
            | Self::FloodedCylinder
            | Self::UnderCar
            | Self::CrankingEngine
            | Self::BatterySpark
            | Self::IgnitionVoltage
            | Self::BoostedIntake => SignalWord::Warning,
            Self::HotParts | Self::SmokeTest => SignalWord::Caution,
            Self::LiveCircuit | Self::ClampOnWire | Self::PumpDry | Self::LeanUnderLoad => SignalWord::Notice,
        }
    }

    /// What can hurt.
    pub fn hazard(self) -> &'static str {
        match self {
            Self::FuelUnderPressure => "Fuel under pressure.",
            Self::OpenFuel => "Fuel runs out of an open line.",
            Self::FuelVapour => "Fuel vapour gathers low down and travels.",
            Self::FuelLeak => "Leaking fuel.",
            Self::FuelSample => "A sample of fuel stands open.",
            Self::GaugeHose => "A gauge hose full of fuel near a hot engine.",
            Self::RunningEngine => "A running engine gives off carbon monoxide.",
            Self::HotParts => "Hot exhaust, hot coolant, hot manifold.",
            Self::MovingParts => "Belts, fans and blower drives move without warning.",
            Self::LoadRun => "A car driven hard while somebody reads a gauge.",
            Self::BoostedIntake => "Hoses and covers under boost.",
            Self::ReturnValve => "Closing the return drives the pressure up to what the pump can give.",
            Self::VolumeTest => "Fuel pumped into the open.",
            Self::ReferenceHoseFuel => "The reference hose may hold fuel.",
            Self::FloodedCylinder => "A cylinder full of fuel cannot be compressed.",
            Self::UnderCar => "A car on a jack can fall.",
            Self::BatterySpark => "A battery gives off hydrogen and large currents.",
            Self::LiveCircuit => "A probe that slips shorts a live circuit.",
            Self::ClampOnWire => "A live wire is handled to get the clamp round it.",
            Self::CrankingEngine => "A cranking engine can start, and the car can move.",
            Self::TankOpening => "An open fuel tank is full of vapour that explodes.",
            Self::SmokeTest => "Smoke under pressure in the intake.",
            Self::IgnitionVoltage => "Ignition voltage.",
            Self::PumpDry => "A pump without fuel has neither cooling nor lubrication.",
            Self::LeanUnderLoad => "A lean engine under load overheats its pistons.",
        }
    }

    /// What it does.
    pub fn consequence(self) -> &'static str {
        match self {
            Self::FuelUnderPressure => "It sprays into eyes and onto hot parts, and burns.",
            Self::OpenFuel => "A spark or a hot part lights it.",
            Self::FuelVapour => "A spark metres away lights it.",
            Self::FuelLeak => "It will burn the car and whoever stands at it.",
            Self::FuelSample => "Its vapour lights at a spark, and a jar that falls spreads the fire.",
            Self::GaugeHose => "A hose that touches the exhaust melts and feeds a fire.",
            Self::RunningEngine => "In a closed room it kills without a smell.",
            Self::HotParts => "They burn skin.",
            Self::MovingParts => "They take fingers, hair and sleeves.",
            Self::LoadRun => "A driver who looks at a gauge crashes.",
            Self::BoostedIntake => "A joint that lets go strikes hard and loudly.",
            Self::ReturnValve => "A hose or a gauge past its rating bursts and sprays fuel.",
            Self::VolumeTest => "Vapour and static charge will light it.",
            Self::ReferenceHoseFuel => "Fuel runs onto hot parts or into the eyes.",
            Self::FloodedCylinder => "Cranking bends a rod or blows fuel out of the plug hole.",
            Self::UnderCar => "It crushes whoever lies under it.",
            Self::BatterySpark => "A spark bursts it; a ring or a tool across it burns to the bone.",
            Self::LiveCircuit => "It blows the fuse or ruins the controller.",
            Self::ClampOnWire => "Pulled or chafed, it comes loose or shorts, and the clamp reads wrong.",
            Self::CrankingEngine => "It runs over hands and feet.",
            Self::TankOpening => "A spark or static charge will set it off.",
            Self::SmokeTest => "It irritates eyes and lungs.",
            Self::IgnitionVoltage => "It stops hearts and lights vapour.",
            Self::PumpDry => "It wears out in seconds.",
            Self::LeanUnderLoad => "The engine is damaged within seconds.",
        }
    }

    /// How to avoid it.
    pub fn avoidance(self) -> &'static str {
        match self {
            Self::FuelUnderPressure => "Eye protection on. Wipe up every drip before starting the engine.",
            Self::OpenFuel => {
                "Pressure used up, extinguisher at hand, engine cool, battery negative off, rag round the joint, catch what runs out."
            }
            Self::FuelVapour => "Ventilate. No flame, no lamp with a bulb, no switch worked nearby.",
            Self::FuelLeak => "Stop. Key off, get clear, let nobody start it, mend the leak first.",
            Self::FuelSample => {
                "Outdoors, extinguisher at hand, gloves on. A clean jar that closes, on the ground, never more than half full."
            }
            Self::GaugeHose => {
                "Route it away from exhaust, belts and cabin; tie it. On the road only if made for that."
            }
            Self::RunningEngine => "Run it outdoors or with an extraction hose on the exhaust.",
            Self::HotParts => "Let it cool, or wear gloves and keep clear.",
            Self::MovingParts => "Sleeves rolled, hair tied, hands and hoses clear before the key is turned.",
            Self::LoadRun => {
                "Dynamometer, or a remote sender with a passenger or recorder reading; closed or quiet road."
            }
            Self::BoostedIntake => "Stand clear of couplings; never loosen one while the engine runs.",
            Self::ReturnValve => {
                "Close it slowly, watch the gauge, stop at the stated ceiling, hold three seconds at most."
            }
            Self::VolumeTest => {
                "Cold engine, outdoors, two people, extinguisher at hand, bonded closed-top container, hose secured, switch \
worked away from the vapour, 15 seconds at most."
            }
            Self::ReferenceHoseFuel => "Key off, engine cool, rag under it. Look; never suck on it.",
            Self::FloodedCylinder => "Do not crank. Plugs out first, check the oil for fuel.",
            Self::UnderCar => "Stands on firm level ground, wheels chocked; never only a jack.",
            Self::BatterySpark => "Rings off, eyes covered, negative off first and on last.",
            Self::LiveCircuit => "Probe with the key off, then switch on; insulated probes, one hand.",
            Self::ClampOnWire => {
                "Key off while the clamp goes on; one wire alone, its insulation whole, jaws shut, clear of belts."
            }
            Self::CrankingEngine => "Neutral or park, brake on, wheels chocked, hands out.",
            Self::TankOpening => {
                "Outdoors, extinguisher at hand, battery negative off, tank near empty, earth yourself; leave it to a \
licensed shop if in doubt."
            }
            Self::SmokeTest => "Ventilate and keep to the machine's low pressure.",
            Self::IgnitionVoltage => {
                "Ignition disabled or hands off; no plug lead is pulled on a running engine."
            }
            Self::PumpDry => "Fuel over the strainer first; never run it outside the tank.",
            Self::LeanUnderLoad => "Stop the run at the stated lambda, pressure drop or first knock.",
        }
    }

    /// The whole caution in one line: signal word, hazard, consequence, avoidance.
    pub fn text(self) -> String {
        format!("{}  {} {} {}", self.signal(), self.hazard(), self.consequence(), self.avoidance())
    }
}

/// What to do where fuel is smelt or seen, in this order.
pub const LEAK_ORDERS: &[&str] = &[
    "Key off. Engine and pump off. Nobody starts it.",
    "Everybody away from the car and from pits and drains. No flame, no switch, no phone beside it.",
    "If it burns or fuel runs: get clear and call the fire brigade.",
    "When it is safe: battery negative off, let it vent, wipe up, find the leak with the system at zero.",
];
