//! Which column is what: guessed, shown, changed by a person, kept for the next log.

use super::channel::Channel;
use super::error::LogError;
use super::scale::{Origin, Scale, read_unit};
use serde::{Deserialize, Serialize};

/// One column and what it was taken to be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Column {
    /// Its name in the file.
    pub name: String,
    /// What it holds; none where it is left aside.
    pub channel: Option<Channel>,
    /// The unit of its values.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub unit: String,
    /// For a pressure, what it is measured from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Origin>,
    /// Whether name and values leave no doubt.
    #[serde(default)]
    pub sure: bool,
    /// What that rests on, or why it is left aside.
    #[serde(default)]
    pub why: String,
}

impl Column {
    pub(super) fn scale(&self) -> Option<Scale> {
        self.channel.and_then(|c| read_unit(c, &self.unit)).map(|(scale, _)| scale)
    }
}

/// Which column is what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// In the order of the file.
    pub columns: Vec<Column>,
}

/// A change to one column: `NAME=CHANNEL`, `NAME=CHANNEL:UNIT`, `NAME=ignored`.
#[derive(Debug, Clone, PartialEq)]
pub struct Override {
    name: String,
    channel: Option<Channel>,
    unit: Option<String>,
}

impl std::str::FromStr for Override {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (name, what) = text
            .rsplit_once('=')
            .ok_or_else(|| format!("expected COLUMN=CHANNEL or COLUMN=CHANNEL:UNIT, found '{text}'"))?;
        let (id, unit) = match what.split_once(':') {
            Some((id, unit)) => (id, Some(unit.to_owned())),
            None => (what, None),
        };
        let channel = if id == "ignored" {
            None
        } else {
            Some(Channel::from_id(id).ok_or_else(|| {
                let all: Vec<&str> = Channel::ALL.into_iter().map(Channel::id).collect();
                format!("expected one of {} or ignored, found '{id}'", all.join(", "))
            })?)
        };
        Ok(Self { name: name.trim().to_owned(), channel, unit })
    }
}

impl Mapping {
    /// The column that holds `channel`, with its place.
    pub fn of(&self, channel: Channel) -> Option<(usize, &Column)> {
        self.columns.iter().enumerate().find(|(_, c)| c.channel == Some(channel))
    }

    /// Changes one column as a person says; another that held the same channel is left aside from then on.
    ///
    /// # Errors
    /// [`LogError::Mapping`] where there is no such column, or the unit does not fit.
    pub fn change(&mut self, change: &Override) -> Result<(), LogError> {
        let wrong = |what: String| Err(LogError::Mapping { what });
        let Some(at) = self.columns.iter().position(|c| c.name.eq_ignore_ascii_case(&change.name)) else {
            let names: Vec<&str> = self.columns.iter().map(|c| c.name.as_str()).collect();
            return wrong(format!(
                "expected a column of the log ({}), found '{}'",
                names.join(", "),
                change.name
            ));
        };
        if let Some(channel) = change.channel {
            for other in self.columns.iter_mut().filter(|c| c.channel == Some(channel)) {
                other.channel = None;
                other.why = format!("another column is {} by request", channel.name());
            }
        }
        let column = &mut self.columns[at];
        let same = column.channel == change.channel || change.channel.is_none();
        column.channel = change.channel;
        column.sure = true;
        "by request".clone_into(&mut column.why);
        let Some(channel) = change.channel else { return Ok(()) };
        let unit = change.unit.clone().unwrap_or_else(|| {
            if same && !column.unit.is_empty() { column.unit.clone() } else { usual(channel).to_owned() }
        });
        let Some((_, origin)) = read_unit(channel, &unit) else {
            return wrong(format!(
                "expected a unit of {} for column '{}', found '{unit}'; use {}",
                channel.name(),
                column.name,
                if channel == Channel::Speed { "1/min".to_owned() } else { channel.dimension().examples() }
            ));
        };
        column.unit = unit;
        column.from = origin.or(column.from.filter(|_| same)).or(default_origin(channel));
        Ok(())
    }

    /// Takes over what a kept mapping says of columns with the same names.
    ///
    /// # Errors
    /// [`LogError::Mapping`] where a kept unit does not fit its channel.
    pub fn take_over(&mut self, kept: &Mapping) -> Result<(), LogError> {
        for column in &mut self.columns {
            let Some(known) = kept.columns.iter().find(|k| k.name == column.name) else { continue };
            if let Some(channel) = known.channel
                && read_unit(channel, &known.unit).is_none()
            {
                let what =
                    format!("'{}' is no unit of {} (column '{}')", known.unit, channel.name(), known.name);
                return Err(LogError::Mapping { what });
            }
            *column = Column { why: "as kept".to_owned(), sure: true, ..known.clone() };
        }
        Ok(())
    }
}

/// The unit taken where nothing says another.
pub(super) fn usual(channel: Channel) -> &'static str {
    match channel {
        Channel::Time => "s",
        Channel::Speed => "1/min",
        Channel::InjectorPulse => "ms",
        Channel::RailPressure | Channel::ManifoldPressure | Channel::Barometer => "kPa",
        Channel::FuelFlow => "L/h",
        Channel::Throttle | Channel::InjectorDuty | Channel::Trim | Channel::LearnedTrim => "%",
        Channel::Lambda => "lambda",
        Channel::BatteryVoltage | Channel::PumpVoltage => "V",
    }
}

/// What a pressure is measured from where nothing says.
pub(super) fn default_origin(channel: Channel) -> Option<Origin> {
    match channel {
        Channel::RailPressure => Some(Origin::Gauge),
        Channel::ManifoldPressure | Channel::Barometer => Some(Origin::Absolute),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn column(name: &str, channel: Option<Channel>, unit: &str) -> Column {
        Column { name: name.into(), channel, unit: unit.into(), from: None, sure: false, why: String::new() }
    }

    #[test]
    fn a_person_has_the_last_word() {
        let mut m = Mapping {
            columns: vec![column("Press 1", Some(Channel::RailPressure), "kPa"), column("Press 2", None, "")],
        };
        m.change(&"press 2=rail-pressure:psi".parse().unwrap()).unwrap();
        assert_eq!(m.columns[0].channel, None);
        assert_eq!((m.columns[1].channel, m.columns[1].unit.as_str()), (Some(Channel::RailPressure), "psi"));
        assert_eq!(m.columns[1].from, Some(Origin::Gauge));
        m.change(&"Press 2=manifold-pressure:inHg vac".parse().unwrap()).unwrap();
        assert_eq!(m.columns[1].from, Some(Origin::Vacuum));
        m.change(&"Press 2=ignored".parse().unwrap()).unwrap();
        assert_eq!(m.columns[1].channel, None);
        assert!("Press 2=petrol".parse::<Override>().unwrap_err().contains("rail-pressure"));
        assert!("Press 2".parse::<Override>().unwrap_err().contains("COLUMN=CHANNEL"));
        let error = m.change(&"other=trim".parse().unwrap()).unwrap_err().to_string();
        assert!(error.contains("Press 1, Press 2"), "{error}");
        let error = m.change(&"Press 1=trim:psi".parse().unwrap()).unwrap_err().to_string();
        assert!(error.contains("found 'psi'"), "{error}");
    }

    #[test]
    fn what_was_kept_comes_back() {
        let mut m = Mapping { columns: vec![column("A", None, ""), column("B", None, "")] };
        let kept = Mapping { columns: vec![column("B", Some(Channel::Trim), "%"), column("C", None, "")] };
        let text = serde_json::to_string(&kept).unwrap();
        m.take_over(&serde_json::from_str(&text).unwrap()).unwrap();
        assert_eq!((m.columns[0].channel, m.columns[1].channel), (None, Some(Channel::Trim)));
        let bad = Mapping { columns: vec![column("A", Some(Channel::Trim), "psi")] };
        assert!(m.take_over(&bad).is_err());
    }
}
