//! What can be measured, in what dimension, and where a pressure gauge can sit.

use super::condition::Condition;
use crate::quantity::Dimension;

vocabulary! {
    /// A quantity a technician reads from an instrument.
    Reading, "reading" {
        /// Fuel pressure at the rail or throttle-body inlet, gauge.
        RailPressure = "rail-pressure",
        /// Fuel pressure at the pump's outlet, before the filter, gauge.
        PumpOutletPressure = "pump-outlet-pressure",
        /// Fuel pressure after the filter, gauge.
        FilterOutletPressure = "filter-outlet-pressure",
        /// Pressure across the injector.
        InjectorPressure = "injector-pressure",
        /// Voltage between the pump's terminals while it runs.
        PumpVoltage = "pump-voltage",
        /// Voltage lost between battery positive and the pump.
        FeedDrop = "feed-drop",
        /// Voltage lost between the pump and battery negative.
        GroundDrop = "ground-drop",
        /// Current through the pump.
        PumpCurrent = "pump-current",
        /// Pressure at the pump's inlet, gauge (below zero on the suction side).
        PumpInletPressure = "pump-inlet-pressure",
        /// Net positive suction head available at the pump.
        SuctionHead = "suction-head",
        /// Fuel through the pump.
        PumpFlow = "pump-flow",
        /// Fuel back to the tank.
        ReturnFlow = "return-flow",
        /// Manifold (plenum) pressure, absolute.
        ManifoldPressure = "manifold-pressure",
        /// Pressure in the regulator's reference hose, gauge.
        ReferencePressure = "reference-pressure",
        /// Fuel trim, live plus learned.
        Trim = "trim",
        /// Lambda at the wideband sensor.
        Lambda = "lambda",
        /// Voltage at the battery.
        BatteryVoltage = "battery-voltage",
        /// Fuel pressure left in the rail after the wait, gauge.
        HeldPressure = "held-pressure",
        /// Pressure in the return line just after the regulator, gauge.
        ReturnPressure = "return-pressure",
        /// What the controller's load sensor says, absolute.
        SensedPressure = "sensed-pressure",
    }
}

/// What a reading's pressure is measured from when nobody says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadingDatum {
    /// The atmosphere.
    Gauge,
    /// Vacuum.
    Absolute,
    /// The other side of the injector, or not a pressure at all.
    None,
}

impl Reading {
    /// Whether it is a fuel pressure on the delivery side of the pump, which a pressure gauge reads.
    pub fn is_delivery_pressure(self) -> bool {
        matches!(
            self,
            Self::RailPressure
                | Self::PumpOutletPressure
                | Self::FilterOutletPressure
                | Self::InjectorPressure
                | Self::HeldPressure
                | Self::ReturnPressure
        )
    }

    /// Whether it can be taken in that condition at all: a pump that is off has neither flow nor current.
    pub fn exists_at(self, at: Condition) -> bool {
        match self {
            Self::Trim | Self::Lambda => at.running(),
            Self::HeldPressure => at == Condition::Rest,
            Self::BatteryVoltage | Self::ManifoldPressure | Self::SensedPressure => true,
            Self::ReturnFlow => !matches!(at, Condition::Rest | Condition::Pinched),
            _ => at != Condition::Rest,
        }
    }

    /// The dimension this is read in.
    pub fn dimension(self) -> Dimension {
        match self {
            Self::RailPressure
            | Self::PumpOutletPressure
            | Self::FilterOutletPressure
            | Self::InjectorPressure
            | Self::PumpInletPressure
            | Self::ManifoldPressure
            | Self::ReferencePressure
            | Self::HeldPressure
            | Self::ReturnPressure
            | Self::SensedPressure => Dimension::Pressure,
            Self::PumpVoltage | Self::FeedDrop | Self::GroundDrop | Self::BatteryVoltage => {
                Dimension::Voltage
            }
            Self::PumpCurrent => Dimension::Current,
            Self::SuctionHead => Dimension::Length,
            Self::PumpFlow | Self::ReturnFlow => Dimension::VolumeFlow,
            Self::Trim => Dimension::Share,
            Self::Lambda => Dimension::Plain,
        }
    }

    /// What it is measured from.
    pub fn datum(self) -> ReadingDatum {
        match self {
            Self::ManifoldPressure | Self::SensedPressure => ReadingDatum::Absolute,
            Self::InjectorPressure => ReadingDatum::None,
            _ if self.dimension() == Dimension::Pressure => ReadingDatum::Gauge,
            _ => ReadingDatum::None,
        }
    }

    /// The reading in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::RailPressure => "rail pressure",
            Self::PumpOutletPressure => "pressure at the pump outlet",
            Self::FilterOutletPressure => "pressure after the filter",
            Self::InjectorPressure => "pressure across the injector",
            Self::PumpVoltage => "voltage at the pump",
            Self::FeedDrop => "voltage lost in the feed wire",
            Self::GroundDrop => "voltage lost in the ground wire",
            Self::PumpCurrent => "pump current",
            Self::PumpInletPressure => "pressure at the pump inlet",
            Self::SuctionHead => "suction head at the pump",
            Self::PumpFlow => "flow through the pump",
            Self::ReturnFlow => "flow in the return line",
            Self::ManifoldPressure => "manifold pressure",
            Self::ReferencePressure => "pressure in the reference hose",
            Self::Trim => "fuel trim",
            Self::Lambda => "lambda",
            Self::BatteryVoltage => "battery voltage",
            Self::HeldPressure => "pressure held after key-off",
            Self::ReturnPressure => "pressure in the return line",
            Self::SensedPressure => "pressure the load sensor reports",
        }
    }
}

vocabulary! {
    /// Where on the fuel circuit the pressure gauge is connected.
    Place, "place for the gauge" {
        /// A tap on the rail.
        RailTap = "rail-tap",
        /// An adapter at the throttle body's fuel inlet.
        InletAdapter = "inlet-adapter",
        /// The port of a regulator mounted away from the rail.
        RemoteRegulator = "remote-regulator",
        /// A T after the filter.
        AfterFilter = "after-filter",
        /// A T between pump and filter.
        BeforeFilter = "before-filter",
    }
}

impl Place {
    /// The place in words.
    pub fn name(self) -> &'static str {
        match self {
            Self::RailTap => "tap on the rail",
            Self::InletAdapter => "adapter at the throttle-body inlet",
            Self::RemoteRegulator => "port of the remote regulator",
            Self::AfterFilter => "T after the filter",
            Self::BeforeFilter => "T between pump and filter",
        }
    }
}
