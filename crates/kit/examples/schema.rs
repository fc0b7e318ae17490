//! Prints the JSON Schema of a manifest; `kit.schema.json` holds it.

fn main() {
    print!("{}", kit::schema());
}
