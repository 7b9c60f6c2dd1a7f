//! What a technician may or may not have at hand.

vocabulary! {
    /// A tool a step may need.
    Tool, "tool" {
        /// Fuel pressure gauge with adapters.
        PressureGauge = "pressure-gauge",
        /// Vacuum or boost gauge.
        VacuumGauge = "vacuum-gauge",
        /// Multimeter (volts, ohms, millivolts).
        Multimeter = "multimeter",
        /// Clamp meter for direct current.
        ClampMeter = "clamp-meter",
        /// Wideband exhaust sensor.
        Wideband = "wideband",
        /// The controller's own display or laptop.
        ControllerDisplay = "controller-display",
        /// A graduated cylinder for the water test.
        GraduatedCylinder = "graduated-cylinder",
        /// A bonded, closed-top container with a scale.
        FuelContainer = "fuel-container",
        /// A timing light.
        TimingLight = "timing-light",
        /// A smoke machine for leak finding.
        SmokeMachine = "smoke-machine",
        /// A hand vacuum pump with gauge.
        HandPump = "hand-pump",
        /// A valve fitted in the return line.
        ReturnValve = "return-valve",
        /// A second pressure gauge.
        SecondGauge = "second-gauge",
        /// A thermometer.
        Thermometer = "thermometer",
        /// A mechanic's stethoscope.
        Stethoscope = "stethoscope",
        /// A dynamometer, or a road with a passenger or a recorder.
        LoadRun = "load-run",
        /// Eyes, ears and nose.
        Eyes = "eyes",
    }
}

impl Tool {
    /// The tool in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::PressureGauge => "fuel pressure gauge",
            Self::VacuumGauge => "vacuum and boost gauge",
            Self::Multimeter => "multimeter",
            Self::ClampMeter => "clamp meter",
            Self::Wideband => "wideband sensor",
            Self::ControllerDisplay => "controller display or laptop",
            Self::GraduatedCylinder => "graduated cylinder",
            Self::FuelContainer => "bonded fuel container",
            Self::TimingLight => "timing light",
            Self::SmokeMachine => "smoke machine",
            Self::HandPump => "hand vacuum pump",
            Self::ReturnValve => "valve in the return line",
            Self::SecondGauge => "second pressure gauge",
            Self::Thermometer => "thermometer",
            Self::Stethoscope => "stethoscope",
            Self::LoadRun => "dynamometer, or a road and a passenger",
            Self::Eyes => "eyes, ears and nose",
        }
    }
}
