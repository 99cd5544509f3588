//! How a page is opened: with or without script, how large, in which colours.

use serde_json::{Value, json};

/// Whether pages may run script.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Script {
    /// They may.
    On,
    /// She has switched it off.
    Off,
}

impl Script {
    /// As a word before "script".
    pub fn name(self) -> &'static str {
        match self {
            Script::On => "with",
            Script::Off => "without",
        }
    }
}

/// How large the page is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sheet {
    /// A window on a desk, 1280 by 900.
    Desktop,
    /// A telephone of today, 390 by 844.
    Phone,
    /// The narrowest telephone that counts, 360 by 640.
    Narrow,
}

impl Sheet {
    /// Its name, for files and messages.
    pub fn name(self) -> &'static str {
        match self {
            Sheet::Desktop => "desktop",
            Sheet::Phone => "phone",
            Sheet::Narrow => "narrow",
        }
    }

    /// As the browser takes it.
    pub(crate) fn metrics(self) -> Value {
        let (width, height, pixels, mobile) = match self {
            Sheet::Desktop => (1280, 900, 1, false),
            Sheet::Phone => (390, 844, 2, true),
            Sheet::Narrow => (360, 640, 2, true),
        };
        json!({"width": width, "height": height, "deviceScaleFactor": pixels, "mobile": mobile})
    }
}

/// Which colours she prefers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scheme {
    /// By day.
    Light,
    /// By night.
    Dark,
}

impl Scheme {
    /// Its name, for files and for `prefers-color-scheme`.
    pub fn name(self) -> &'static str {
        match self {
            Scheme::Light => "light",
            Scheme::Dark => "dark",
        }
    }
}
