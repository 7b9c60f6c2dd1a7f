//! The conditions a reading is taken in.

vocabulary! {
    /// What the engine and the pump are doing.
    Condition, "condition" {
        /// The starter turns the engine.
        Crank = "crank",
        /// Key on, engine off, pump running.
        Prime = "prime",
        /// Warm idle.
        Idle = "idle",
        /// 2,500 1/min, no load.
        Raised = "raised",
        /// Steady light load on the road.
        Cruise = "cruise",
        /// Full load.
        Load = "load",
        /// Prime, with the return closed slowly by a valve.
        Pinched = "pinched",
        /// Key off, some minutes later.
        Rest = "rest",
        /// Key on, engine off, after a heat soak.
        HotPrime = "hot-prime",
    }
}

impl Condition {
    /// The condition in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Crank => "cranking",
            Self::Prime => "key on, engine off",
            Self::Idle => "warm idle",
            Self::Raised => "2,500 1/min without load",
            Self::Cruise => "steady cruise",
            Self::Load => "full load",
            Self::Pinched => "key on, return valve closed slowly",
            Self::Rest => "key off, after the wait",
            Self::HotPrime => "key on after a heat soak",
        }
    }

    /// Whether the engine runs on its own.
    pub fn running(self) -> bool {
        matches!(self, Self::Idle | Self::Raised | Self::Cruise | Self::Load)
    }

    /// Whether the pump runs, so that the lines hold pressure afterwards.
    pub fn pressurises(self) -> bool {
        self != Self::Rest
    }
}
