use super::{Entry, Kit, KitBox, KitPickup, Origin};
use crate::preset::write::{Field, box_fields, lines, optional, pickup_fields, quoted};

impl Kit {
    /// Writes it as a file, which reads back as the same kit.
    pub fn to_toml(&self) -> String {
        let entries: String = self.entries.iter().map(|entry| format!("\n{}", entry.to_toml())).collect();
        format!("version = {}\n{entries}", Self::VERSION)
    }
}

impl Entry {
    /// Writes it as a table of a kit's file.
    pub fn to_toml(&self) -> String {
        let (table, values) = match self {
            Self::Pickup(KitPickup { pickup, .. }) => ("pickup", pickup_fields(pickup)),
            Self::Box(KitBox { input, levels, .. }) => {
                let levels = [
                    optional("in_dbu_at_full_scale", levels.recorded),
                    optional("out_dbu_at_full_scale", levels.played),
                    optional("output_resistance", levels.resistance),
                ];
                // Without its name.
                let values = box_fields(input, false).into_iter().flatten().skip(1);
                ("box", values.chain(levels.into_iter().flatten()).collect())
            }
        };
        let Origin { measured, method, remarks } = self.origin();
        let origin = [
            optional("measured", measured.as_ref()),
            optional("method", method.map(super::Method::text)),
            optional("remarks", remarks.as_ref()),
        ];
        let name = [("name", quoted(self.name()))];
        let fields: Vec<Field> = name.into_iter().chain(values).chain(origin.into_iter().flatten()).collect();
        format!("[[{table}]]\n{}", lines(&fields))
    }
}
