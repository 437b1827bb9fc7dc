//! Colours for drawing paper: what a saved picture and the printed report use for each role.
//!
//! From the set of Okabe and Ito, darkened where a thin line on paper needs it. Contrast is tested: words 4.5,
//! lines 3 (WCAG 2.2, 1.4.3 and 1.4.11). Blue is within, vermilion is beyond; no red stands against a green.

use super::Role;

/// The colour of a role on paper, sRGB.
pub fn on_paper(role: Role) -> [u8; 3] {
    match role {
        Role::AsMade => [0x00, 0x66, 0xA6],
        Role::Serviceable => [0x2B, 0x80, 0xB5],
        Role::Beyond => [0xB8, 0x45, 0x00],
        Role::ReboreTo => [0x96, 0x45, 0x7A],
        Role::Reading => [0x0B, 0x3C, 0x66],
        Role::SecondAxis => [0x78, 0x4A, 0x10],
        Role::Attention => [0x8A, 0x60, 0x00],
        Role::Ink => [0x1C, 0x20, 0x26],
        Role::Guide => [0x6E, 0x74, 0x7C],
        Role::Paper => [0xFC, 0xFB, 0xF6],
    }
}

/// How much of a role's colour the tint of its band takes, 0 to 1.
pub fn tint(role: Role) -> f64 {
    match role {
        Role::AsMade => 0.20,
        Role::Serviceable => 0.09,
        Role::Beyond => 0.10,
        Role::ReboreTo => 0.14,
        _ => 0.10,
    }
}

#[cfg(test)]
mod tests {
    use super::{Role, on_paper};

    /// Contrast of two colours (WCAG 2.2, relative luminance; P).
    fn contrast(a: [u8; 3], b: [u8; 3]) -> f64 {
        let luminance = |c: [u8; 3]| {
            let linear = c.map(|channel| {
                let c = f64::from(channel) / 255.0;
                if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
            });
            0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn every_role_can_be_read_on_paper() {
        for role in Role::ALL.into_iter().filter(|&role| role != Role::Paper) {
            let least = match role {
                Role::Serviceable | Role::Guide => 3.0,
                _ => 4.5,
            };
            let contrast = contrast(on_paper(role), on_paper(Role::Paper));
            assert!(contrast >= least, "{role:?}: {contrast}");
        }
    }
}
