//! Facts of a car that trees choose by.

vocabulary! {
    /// How air reaches the engine.
    Induction, "kind of induction" {
        /// The engine breathes by itself.
        Natural = "natural",
        /// The blower sits after the throttle.
        DrawThrough = "draw-through",
        /// The compressor sits before the throttle.
        BlowThrough = "blow-through",
    }
}

vocabulary! {
    /// Where the injector's tip sprays.
    Tip, "place of the injector tip" {
        /// Above the throttle plates.
        AbovePlates = "above-plates",
        /// Below the throttle plates, above any blower.
        BelowPlates = "below-plates",
        /// In the intake port, below everything.
        Port = "port",
    }
}

vocabulary! {
    /// A station of the induction path, or the open air, as a hose can be connected to.
    Station, "station of the induction path" {
        /// Open to the air.
        Open = "open",
        /// Before the throttle plates.
        BeforePlates = "before-plates",
        /// Right behind the throttle plates.
        BehindPlates = "behind-plates",
        /// What the cylinders breathe.
        Plenum = "plenum",
    }
}

vocabulary! {
    /// How the supply is regulated.
    SupplyStyle, "supply style" {
        /// Regulator after the rail, the rest returns to the tank.
        Return = "return",
        /// Regulator and return near the tank, one feed line on to the rail.
        BypassBeforeRail = "bypass-before-rail",
        /// Regulator before the rail, nothing returns from it.
        Deadhead = "deadhead",
        /// Regulator in the tank, referenced to the tank.
        Module = "module",
        /// The pump's speed holds the rail.
        SpeedControlled = "speed-controlled",
    }
}

impl SupplyStyle {
    /// Whether fuel comes back through a return line outside the tank.
    pub fn has_return(self) -> bool {
        matches!(self, Self::Return | Self::BypassBeforeRail)
    }
}

vocabulary! {
    /// How a pump delivers off its rated voltage.
    PumpType, "type of pump" {
        /// Follows the affinity laws with speed.
        Turbine = "turbine",
        /// Delivers with speed and slips with pressure.
        Displacement = "displacement",
    }
}

vocabulary! {
    /// What the controller reckons the engine's air from.
    LoadBy, "load signal" {
        /// Manifold pressure (speed-density).
        Manifold = "manifold",
        /// Throttle angle.
        Throttle = "throttle",
        /// An air mass sensor.
        MassAir = "mass-air",
    }
}

vocabulary! {
    /// What the controller takes the pressure across the injector to be.
    PressureModel, "pressure model" {
        /// As configured, everywhere.
        Constant = "constant",
        /// Configured plus atmosphere less the pressure at the tip.
        Computed = "computed",
        /// What a rail sensor says.
        Sensor = "sensor",
    }
}

impl Station {
    /// The station in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Open => "open air",
            Self::BeforePlates => "before the throttle plates",
            Self::BehindPlates => "behind the throttle plates",
            Self::Plenum => "the plenum",
        }
    }
}
