//! Names of resources: the same thing of the same record always has the same one, and no other record has it.

use sha2::{Digest, Sha256};

/// The names in a visit's document.
pub struct Names {
    record: String,
    visit: i64,
}

impl Names {
    /// Of a visit, by its number, of a record.
    pub fn new(record: &str, visit: i64) -> Names {
        Names {
            record: record.to_owned(),
            visit,
        }
    }

    /// A UUID of version 8 (RFC 9562: made by the program's own rule, here of a digest).
    pub fn id(&self, what: &str, number: i64) -> String {
        let digest = Sha256::digest(format!("{}\n{}\n{what}\n{number}", self.record, self.visit));
        let mut bytes = [0_u8; 16];
        bytes.copy_from_slice(&digest[..16]);
        bytes[6] = bytes[6] & 0x0f | 0x80;
        bytes[8] = bytes[8] & 0x3f | 0x80;
        let digits = data_encoding::HEXLOWER.encode(&bytes);
        let (a, rest) = digits.split_at(8);
        let (b, rest) = rest.split_at(4);
        let (c, rest) = rest.split_at(4);
        let (d, e) = rest.split_at(4);
        format!("{a}-{b}-{c}-{d}-{e}")
    }

    /// As something refers to it.
    pub fn reference(&self, what: &str, number: i64) -> String {
        format!("urn:uuid:{}", self.id(what, number))
    }
}
