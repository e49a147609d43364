"""The starter job that a new user fills in, with small invented catalogues beside it."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from .write import replace_files

PANELS_CSV = """\
model,length_mm,width_mm,thickness_mm,mass_kg,power_w,voc_v,vmp_v,isc_a,imp_a,voc_pct_per_k,isc_pct_per_k,power_pct_per_k,max_series_fuse_a,max_system_v,price,stock,turnable,bypass_sections
Mica 90 flexible,1080,420,3,1.5,90,22.6,18.8,5.08,4.79,-0.28,0.050,-0.36,10,600,140,,,2
Slate 110,1010,540,30,6.4,110,23.1,19.2,6.07,5.73,-0.27,0.045,-0.34,15,600,104,,,2
Shale 165,1490,540,30,9.0,165,24.0,20.0,8.74,8.25,-0.27,0.045,-0.34,15,600,138,,,2
Basalt 210,1480,680,30,11.2,210,24.6,20.6,10.80,10.19,-0.26,0.045,-0.33,20,1000,156,,,2
Granite 265,1640,770,30,13.8,265,30.3,25.2,11.15,10.52,-0.26,0.045,-0.32,20,1000,189,,,3
Marble 410,1720,1130,30,20.9,410,37.5,31.4,13.85,13.06,-0.25,0.045,-0.30,25,1000,205,,,3
"""

CONTROLLERS_CSV = """\
model,trackers,max_pv_v,max_pv_isc_a,max_charge_a,battery_v,start_above_battery_v,efficiency_pct,length_mm,width_mm,height_mm,mass_kg,price
Sluice 15,1,75,15,15,12 24,5,96,115,100,42,0.6,119
Sluice 30,1,100,30,30,12 24,5,97,185,130,70,1.3,169
Sluice 50,1,150,50,50,12 24 48,5,97,250,190,95,3.0,235
Culvert 40,1,100,40,40,12 24,5,97,190,135,72,1.5,198
Culvert 60 twin,2,150,30,60,12 24 48,5,97,260,210,98,3.4,279
"""


def starter_text() -> str:
    """The starter job file's text."""
    return (files(__package__) / "starter.toml").read_text(encoding="utf-8")


def write_starter(path: Path) -> list[Path]:
    """Write a commented starter job, and beside it the catalogues it names unless they are there already.

    Returns the files written. Raises FileExistsError when the job file is there already, and OSError
    when something cannot be written; both with a plain message.
    """
    if path.exists() or path.is_symlink():
        raise FileExistsError(f"{path} is there already and was left as it is; choose another name")
    catalogue = path.parent / "catalogue"
    try:
        catalogue.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OSError(f"cannot make the folder {catalogue}: {error.strerror or error}") from error
    tables = {"panels.csv": PANELS_CSV.encode(), "controllers.csv": CONTROLLERS_CSV.encode()}
    missing = {name: content for name, content in tables.items() if not (catalogue / name).exists()}
    written = replace_files(catalogue, missing)
    return replace_files(path.parent, {path.name: starter_text().encode()}) + written
