"""Files of packages are found where Python's own library finds them."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest
from pausewright.package_data import package_folder

PACKAGES = ("pausewright", "pausewright.wording.languages", "pausewright_voices")


@pytest.mark.parametrize("package", PACKAGES)
def test_a_folder_is_that_of_importlib_resources(package: str) -> None:
    """The second opinion takes longer to load."""
    assert package_folder(package) == Path(str(resources.files(package)))


@pytest.mark.parametrize("package", ["pausewright_none", "pausewright.problems"])
def test_what_is_no_package_is_told(package: str) -> None:
    """Neither a name that is not installed nor a module has a folder."""
    with pytest.raises(ModuleNotFoundError, match=package):
        package_folder(package)
