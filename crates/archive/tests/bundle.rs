//! A whole bundle: the same bytes always, every entry sound, no flipped bit passes, intruders are named.
//!
//! Outside witness: the `zip` crate reads what is written here by code of its own. What `unzip`, `sha256sum`
//! and `lib3mf` say about the same bytes is kept in `witness.rs`.

mod shapes;

use archive::zip::{Member, write};
use archive::{BundleFault, Stamp, VerifyFault, bundle, sha256, verify};
use shapes::{input, small};

#[test]
fn a_bundle_verifies_and_holds_what_it_should() {
    let meshes = small();
    let bytes = bundle(&input(&meshes)).expect("a bundle");
    let entries = verify(&bytes).expect("sound");
    let names: Vec<&str> = entries.iter().map(|e| e.name.as_str()).collect();
    let want = [
        "3mf/01_block_r1_x1.3mf",
        "3mf/02_gallery-rail_r2_x8.3mf",
        "LICENSE",
        "README.md",
        "SHA256SUMS",
        "files/decals/port side.svg",
        "kit.toml",
        "preview/01_block_r1_x1.glb",
        "preview/02_gallery-rail_r2_x8.glb",
        "report.html",
        "report.json",
        "stl/01_block_r1_x1.stl",
        "stl/02_gallery-rail_r2_x8.stl",
        "zip.sha256",
    ];
    assert_eq!(names, want);
}

#[test]
fn another_reader_reads_the_same() {
    let meshes = small();
    let bytes = bundle(&input(&meshes)).expect("a bundle");
    let entries = verify(&bytes).expect("sound");
    let mut other = zip::ZipArchive::new(std::io::Cursor::new(&bytes)).expect("a zip");
    assert_eq!(other.len(), entries.len());
    for entry in &entries {
        let mut contents = Vec::new();
        let mut file = other.by_name(&entry.name).expect("there");
        std::io::Read::read_to_end(&mut file, &mut contents).expect("unpacks");
        assert_eq!(contents.len() as u64, entry.bytes);
        assert_eq!(sha256(&contents), entry.sha256);
        let time = file.last_modified().expect("a time");
        assert_eq!((time.datepart(), time.timepart()), (0x576E, 0xB1AA));
    }
}

#[test]
fn the_same_kit_gives_the_same_bytes() {
    let meshes = small();
    let once = |threads| {
        parallel::with_threads(threads, || bundle(&input(&meshes)).expect("a bundle"))
            .expect("threads start")
    };
    let one = once(1);
    assert_eq!(one, once(1));
    assert_eq!(one, once(2));
    assert_eq!(one, once(8));
}

#[test]
fn no_flipped_bit_of_a_small_bundle_passes() {
    let meshes = small();
    let mut bytes = bundle(&input(&meshes)).expect("a bundle");
    // Every byte, one bit of it each, the bit taken in turn.
    let passed: Vec<usize> = flips_that_pass(&mut bytes, (0..).map(|k| (k, 1u8 << (k % 8))));
    assert!(passed.is_empty(), "flips at {passed:?} pass");
}

#[test]
fn no_flipped_bit_of_headers_seal_and_end_passes() {
    // The least archive that is a bundle to `verify`: every bit of it.
    let members = vec![Member {
        name: "a".into(),
        bytes: b"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa".to_vec(),
    }];
    let mut bytes = archive::bundle::sealed(members, Stamp::EARLIEST).expect("sealed");
    verify(&bytes).expect("sound");
    let all = (0..bytes.len()).flat_map(|k| (0..8).map(move |bit| (k, 1u8 << bit)));
    let passed = flips_that_pass(&mut bytes, all);
    assert!(passed.is_empty(), "flips at {passed:?} pass");
}

#[test]
fn a_sample_of_a_larger_bundle_and_every_cut_are_refused() {
    let mut meshes = small();
    meshes.push(shapes::ball(40));
    let mut bytes = bundle(&input(&meshes)).expect("a bundle");
    let sample = (0..40).map(|k| (k * 7919, 1u8 << (k % 8)));
    assert!(flips_that_pass(&mut bytes, sample).is_empty());
    for k in 0..40 {
        let cut = bytes.len() * k / 40;
        assert!(verify(&bytes[..cut]).is_err(), "cut at {cut}");
    }
    assert!(verify(&bytes[..bytes.len() - 1]).is_err());
}

/// The places of those flips after which `verify` still passes.
fn flips_that_pass(bytes: &mut [u8], flips: impl IntoIterator<Item = (usize, u8)>) -> Vec<usize> {
    let length = bytes.len();
    let mut passed = Vec::new();
    for (at, mask) in flips.into_iter().take_while(|(at, _)| *at < length) {
        bytes[at] ^= mask;
        if verify(bytes).is_ok() {
            passed.push(at);
        }
        bytes[at] ^= mask;
    }
    passed
}

fn members_of(bytes: &[u8]) -> Vec<Member> {
    let mut other = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("a zip");
    (0..other.len())
        .map(|k| {
            let mut file = other.by_index(k).expect("there");
            let mut contents = Vec::new();
            std::io::Read::read_to_end(&mut file, &mut contents).expect("unpacks");
            Member {
                name: file.name().expect("a name").to_string(),
                bytes: contents,
            }
        })
        .collect()
}

/// Takes a sound bundle apart, lets `change` at its entries (the seal is taken off) and seals it again.
fn resealed(change: impl FnOnce(&mut Vec<Member>)) -> Vec<VerifyFault> {
    let meshes = small();
    let bytes = bundle(&input(&meshes)).expect("a bundle");
    let mut members = members_of(&bytes);
    members.pop();
    change(&mut members);
    let seal = |front: &[u8]| Member {
        name: archive::bundle::SEAL_NAME.into(),
        bytes: archive::bundle::seal_text(front).into_bytes(),
    };
    let bytes = write(&members, Stamp::from_unix(1_700_000_000), Some(&seal)).expect("written");
    verify(&bytes).expect_err("changed")
}

fn extra(name: &str) -> Member {
    Member {
        name: name.into(),
        bytes: b"x".to_vec(),
    }
}

#[test]
fn taken_apart_and_sealed_again_it_is_the_same() {
    let meshes = small();
    let bytes = bundle(&input(&meshes)).expect("a bundle");
    let mut members = members_of(&bytes);
    members.retain(|m| m.name != "zip.sha256" && m.name != "SHA256SUMS");
    let again = archive::bundle::sealed(members, Stamp::from_unix(1_700_000_000));
    assert_eq!(again, Ok(bytes));
}

#[test]
fn intruders_and_losses_are_named() {
    let name = || "stl/02_z.stl".to_string();
    let faults = resealed(|m| m.insert(m.len(), extra(&name())));
    assert_eq!(faults, [VerifyFault::Unlisted { name: name() }]);

    let faults = resealed(|m| m.retain(|m| m.name != "report.json"));
    let missing = VerifyFault::Missing {
        name: "report.json".into(),
    };
    assert_eq!(faults, [missing]);

    let faults = resealed(|m| m.insert(1, m[0].clone()));
    assert!(
        matches!(&faults[..], [VerifyFault::Twice { .. }]),
        "{faults:?}"
    );

    let faults = resealed(|m| m.swap(0, 1));
    assert!(
        matches!(&faults[..], [VerifyFault::Order { .. }]),
        "{faults:?}"
    );

    let faults = resealed(|m| m.insert(0, extra("../../etc/passwd")));
    let named = |f: &VerifyFault| matches!(f, VerifyFault::Path(p) if p.path.contains(".."));
    assert!(faults.iter().any(named), "{faults:?}");

    let faults = resealed(|m| m.retain(|m| m.name != "SHA256SUMS"));
    assert_eq!(faults, [VerifyFault::Lacks("SHA256SUMS")]);

    let faults = resealed(|m| {
        for m in m.iter_mut().filter(|m| m.name == "LICENSE") {
            m.bytes.push(b' ');
        }
    });
    assert!(
        matches!(&faults[..], [VerifyFault::Changed { name, .. }] if name == "LICENSE"),
        "{faults:?}"
    );
}

#[test]
fn appended_and_prepended_bytes_and_comments_are_named() {
    let meshes = small();
    let bytes = bundle(&input(&meshes)).expect("a bundle");
    let said = |bytes: &[u8]| -> String {
        let faults = verify(bytes).expect_err("changed");
        faults.iter().map(|f| format!("{f}\n")).collect()
    };
    let appended = [&bytes[..], b"x"].concat();
    assert!(said(&appended).contains("1 bytes stand behind the end"));
    let mut comment = [&bytes[..], b"hello"].concat();
    let at = bytes.len() - 2;
    comment[at] = 5;
    assert!(
        said(&comment).contains("comment length at byte"),
        "{}",
        said(&comment)
    );
    let prepended = [b"x", &bytes[..]].concat();
    assert!(said(&prepended).contains("signature at byte 0"));
    assert!(said(b"").contains("the file ends at byte 0"));
    assert!(said(b"PK\x05\x06").contains("end of central directory record"));
}

#[test]
fn a_zip_bomb_costs_no_memory_and_is_named() {
    // 64 MiB of zeros pack to 64 kB; the header says 1 kB.
    let members = [Member {
        name: "bomb".into(),
        bytes: vec![0; 64 << 20],
    }];
    let mut bytes = write(&members, Stamp::EARLIEST, None).expect("written");
    bytes[22..26].copy_from_slice(&1000u32.to_le_bytes());
    let faults = verify(&bytes).expect_err("a bomb");
    assert!(
        faults[0].to_string().contains("more than the 1000 bytes"),
        "{faults:?}"
    );
    // Headers that promise more than 4 GiB in all stop the walk before anything is unpacked.
    let small: Vec<Member> = ["a", "b"].map(extra).to_vec();
    let mut bytes = write(&small, Stamp::EARLIEST, None).expect("written");
    let second = 30 + 1 + 1;
    for header in [0, second] {
        bytes[header + 22..header + 26].copy_from_slice(&u32::MAX.to_le_bytes());
    }
    let faults = verify(&bytes).expect_err("too much");
    assert!(
        faults
            .iter()
            .any(|f| f.to_string().contains("unpacked at most")),
        "{faults:?}"
    );
}

#[test]
fn a_waived_open_mesh_gets_no_3mf_and_the_read_me_says_so() {
    let mut meshes = small();
    let mut triangles = meshes[0].triangles.clone();
    triangles.pop();
    meshes[0] = mesh::Mesh::new(meshes[0].vertices.clone(), triangles);
    let bytes = bundle(&input(&meshes)).expect("a bundle");
    let entries = verify(&bytes).expect("sound");
    assert!(entries.iter().all(|e| e.name != "3mf/01_block_r1_x1.3mf"));
    assert!(entries.iter().any(|e| e.name == "stl/01_block_r1_x1.stl"));
    let readme = members_of(&bytes)
        .into_iter()
        .find(|m| m.name == "README.md")
        .expect("a read-me");
    let text = String::from_utf8(readme.bytes).expect("UTF-8");
    assert!(text.contains("There is no file of `01_block_r1_x1` in `3mf/`: 3 triangle edges"));
}

#[test]
fn a_crack_is_closed_in_what_is_written_and_the_read_me_says_so() {
    let mut meshes = small();
    let mut vertices = meshes[0].vertices.clone();
    let mut triangles = meshes[0].triangles.clone();
    // The top face gets corners of its own, 10 nm off.
    for v in 4..8 {
        let [x, y, z] = vertices[v];
        vertices.push([x + 1e-5, y, z]);
    }
    triangles[2..4].iter_mut().flatten().for_each(|v| *v += 4);
    meshes[0] = mesh::Mesh::new(vertices, triangles);
    let mut kit = input(&meshes);
    let has_3mf = |kit: &archive::BundleInput| {
        let bytes = bundle(kit).expect("a bundle");
        let readme = members_of(&bytes)
            .into_iter()
            .find(|m| m.name == "README.md");
        let text = String::from_utf8(readme.expect("a read-me").bytes).expect("UTF-8");
        let entries = verify(&bytes).expect("sound");
        let there = entries.iter().any(|e| e.name == "3mf/01_block_r1_x1.3mf");
        (
            there,
            text.contains("In the files of `01_block_r1_x1`, 4 vertices"),
        )
    };
    assert_eq!(has_3mf(&kit), (false, false));
    kit.parts[0].close_within_mm = Some(1e-4);
    assert_eq!(has_3mf(&kit), (true, true));
}

#[test]
fn inputs_that_cannot_go_in_are_named() {
    let meshes = small();
    let mut bad = input(&meshes);
    bad.extra[0].path = "../secret".into();
    assert!(matches!(bundle(&bad), Err(BundleFault::Path(_))));
    let mut bad = input(&meshes);
    let mut same = bad.extra[0].clone();
    same.path = same.path.to_uppercase();
    bad.extra.push(same);
    assert!(matches!(bundle(&bad), Err(BundleFault::Twice { .. })));
    let mut bad = input(&meshes);
    bad.parts[1].rotation[0][0] = -1.0;
    let fault = bundle(&bad).expect_err("a mirror");
    assert!(
        fault
            .to_string()
            .starts_with("part gallery-rail: the print pose")
    );
    let mut bad = input(&meshes);
    bad.manifest = "a = =";
    assert!(matches!(bundle(&bad), Err(BundleFault::Manifest(_))));
}

mod laws {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        /// Whatever is cut out of, put into or written over a bundle: `verify` ends, without a panic, and passes
        /// nothing but the bundle itself.
        #[test]
        fn nothing_but_the_bundle_itself_passes(
            at in 0.0..1.0f64,
            length in 0usize..60,
            patch in prop::collection::vec(any::<u8>(), 0..60),
        ) {
            let meshes = small();
            let bytes = bundle(&input(&meshes)).expect("a bundle");
            let from = (at * bytes.len() as f64) as usize;
            let to = (from + length).min(bytes.len());
            let changed = [&bytes[..from], &patch[..], &bytes[to..]].concat();
            prop_assert_eq!(verify(&changed).is_ok(), changed == bytes);
        }

        /// The same for bytes that never were a bundle.
        #[test]
        fn noise_is_refused(noise in prop::collection::vec(any::<u8>(), 0..400)) {
            let looks = [b"PK\x03\x04", &noise[..]].concat();
            prop_assert!(verify(&noise).is_err());
            prop_assert!(verify(&looks).is_err());
        }
    }
}

/// A bundle of a kit whose manifest names its parts, opened again: the parts' meshes come back in their own frame
/// bit for bit (3MF holds shortest decimals), the manifest points at them.
#[test]
fn an_earlier_bundle_opens_as_a_kit() {
    let meshes = small();
    let mut given = input(&meshes);
    let manifest = "format = 1\n[[part]]\nid = \"block\"\nmesh = \"meshes/a.obj\"\nunits = \"in\"\n\
        [[part]]\nid = \"gallery-rail\"\nmesh = \"b.3mf\"\nobject = \"x\"\nrev = 2\ncount = 8\n";
    given.manifest = manifest;
    given.notes = Some(archive::bundle::Notes {
        text: "# Notes\n".into(),
        pictures: vec![("block.svg".into(), b"<svg/>".to_vec())],
    });
    let bytes = bundle(&given).expect("a bundle");
    let earlier = archive::earlier(&bytes).expect("opens");
    for (path, mesh) in ["3mf/01_block_r1_x1.3mf", "3mf/02_gallery-rail_r2_x8.3mf"]
        .iter()
        .zip(&meshes)
    {
        assert!(earlier.manifest.contains(path), "{}", earlier.manifest);
        let limits = mesh::decode::DecodeLimits {
            max_triangles: 1 << 20,
            max_unpacked_bytes: 1 << 24,
        };
        let back = mesh::decode::decode(
            &earlier.files[*path],
            mesh::decode::Format::ThreeMf,
            None,
            &limits,
        )
        .expect("a 3MF");
        assert_eq!(back.vertices, mesh.vertices, "{path}");
        assert_eq!(back.triangles, mesh.triangles, "{path}");
    }
    assert!(!earlier.manifest.contains("object") && !earlier.manifest.contains("\"in\""));
    let mut other = zip::ZipArchive::new(std::io::Cursor::new(&bytes)).expect("a zip");
    let mut notes = String::new();
    std::io::Read::read_to_string(&mut other.by_name("NOTES.md").expect("notes"), &mut notes)
        .expect("text");
    assert!(notes.starts_with("# Notes\n\n## Files\n"), "{notes}");
    assert!(
        notes.contains("| stl/01_block_r1_x1.stl | 684 | `"),
        "{notes}"
    );
}
