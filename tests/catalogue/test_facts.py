"""What practitioners say of structures, as the catalogue holds it. Common practice, no source."""

from atlas.catalogue.load import load


def test_a_double_shear_plate_at_the_rear_has_one_to_three_bolts_of_its_own():
    catalogue = load()
    plate = catalogue.pattern("rear-double-shear-plate")
    assert plate.zone == "rear-mount"
    bolts = plate.likelihoods["bolts-per-foot"]
    assert bolts["one"] + bolts["two-three"] > 0.7 > 3 * bolts["four-plus"]
    joint = next(one for one in plate.calculations if one.calculator == "bolted-joint")
    assert joint.inputs["shear"] == "double"
    assert {"rear-mount-single-plane", "rear-mount-bolt-group"} <= {
        one.id for one in plate.look_alikes
    }
