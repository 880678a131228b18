"""Profiles: every shipped one proves itself by its samples; faulty ones are refused with place and way out."""

import re
import typing

import pytest
from pydantic import BaseModel

from drivers.decoding import make_decoder
from drivers.errors import ProfileError
from drivers.profile import SHIPPED as PROFILES_FOLDER
from drivers.profile import DeviceProfile, faulty_profiles, list_profiles, load_profile, user_folder
from drivers.profile_check import check_samples
from drivers.tomlfile import load_model

PROFILES = {profile.name: profile for profile in list_profiles()}


@pytest.mark.parametrize("name", PROFILES)
def test_the_samples_of_a_profile_mean_what_it_says(name):
    assert check_samples(PROFILES[name]) == []


@pytest.mark.parametrize("name", PROFILES)
def test_a_shipped_profile_has_a_sample_that_gives_readings_and_one_that_does_not(name):
    samples = PROFILES[name].sample
    assert any(sample.readings for sample in samples)
    assert any(not sample.readings for sample in samples)


def test_no_shipped_profile_is_faulty():
    assert faulty_profiles() == []


def test_a_file_name_is_the_name_of_its_profile():
    for name in PROFILES:
        assert load_profile(name).name == name


def test_an_unknown_profile_suggests_the_nearest(tmp_path):
    with pytest.raises(ProfileError, match="did you mean 'simulated-bench'"):
        load_profile("simulated-bensh", folder=tmp_path)


def test_a_profile_of_ones_own_goes_before_the_shipped_one(tmp_path):
    text = (PROFILES_FOLDER / "delimited-text.toml").read_text(encoding="utf-8").replace("baud = 115200", "baud = 9600")
    (tmp_path / "delimited-text.toml").write_text(text, encoding="utf-8")
    assert load_profile("delimited-text", folder=tmp_path).line.baud == 9600


def test_a_faulty_profile_does_not_hide_the_others(tmp_path):
    (tmp_path / "mine.toml").write_text("name = 3\n", encoding="utf-8")
    assert {profile.name for profile in list_profiles(folder=tmp_path)} == set(PROFILES)
    ((path, error),) = faulty_profiles(folder=tmp_path)
    assert path.name == "mine.toml"
    assert "mine.toml:1: name: found 3; expected a text in quotes" in str(error)


def test_a_wrong_sample_is_told_with_both_values(tmp_path):
    text = (
        (PROFILES_FOLDER / "delimited-text.toml").read_text(encoding="utf-8").replace('"101.32 kPa"', '"10.132 kPa"', 1)
    )
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    (fault,) = check_samples(load_profile(path))
    assert fault == (
        "sample 1 (b'21.84,101.32\\n'): pressure is 101.32 kPa; expected 10.132 kPa; "
        "correct the sample or the conversion"
    )


def test_the_users_folder_is_absolute():
    assert user_folder().is_absolute()


def test_profiles_without_a_checksum_are_called_unprotected():
    protected = {name for name, profile in PROFILES.items() if profile.protected}
    checked = {"simulated-bench", "sentence-text", "text-with-checksum", "packed-binary", "packed-cobs"}
    assert protected == checked | {"modbus-registers"}
    for name in checked:
        assert make_decoder(PROFILES[name]).protected


def test_the_example_in_the_guide_is_a_profile_that_proves_itself():
    guide = (PROFILES_FOLDER.parent / "PROFILES.md").read_text(encoding="utf-8")
    example = guide.partition("```toml\n")[2].partition("```")[0]
    assert check_samples(load_model(example, DeviceProfile)) == []


def records_in(annotation) -> set[type[BaseModel]]:
    """Every kind of record that may stand within this one."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        inside = (records_in(field.annotation) for field in annotation.model_fields.values())
        return {annotation}.union(*inside)
    return set().union(*(records_in(part) for part in typing.get_args(annotation)))


def test_the_guide_names_every_key():
    guide = (PROFILES_FOLDER.parent / "PROFILES.md").read_text(encoding="utf-8")
    keys = {key for record in records_in(DeviceProfile) for key in record.model_fields}
    assert len(keys) > 60
    assert sorted(key for key in keys if not re.search(rf"\b{key}\b", guide)) == []
