"""Every key of the job file, table by table; "" is the top, above the first table."""

from __future__ import annotations

KEYS: dict[str, tuple[str, ...]] = {
    "": (
        *("title", "site", "spacing", "facet", "obstacle", "panels", "kept_panel", "battery"),
        "controllers",
        *("wiring", "cable", "bench", "mounting_space", "vehicle_charger", "portable_panel"),
        *("climate", "load", "inverter", "driving", "mounts", "vehicle"),
    ),
    "site": ("latitude", "longitude", "heading", "coldest", "hottest"),
    "climate": ("sun", "air", "weather_file", "albedo"),
    "spacing": ("between_panels", "from_edge"),
    "facet": ("name", "outline", "slope", "downhill", "front", "place"),
    "obstacle": (
        "name",
        "facet",
        "kind",
        "at",
        "size",
        "centre",
        "diameter",
        "outline",
        "clearance",
        "height",
        "opens",
        "reach",
    ),
    "panels": ("catalogue", "use", "most_models", "most_mass", "budget", "aim", "balance"),
    "kept_panel": ("model", "facet", "at", "turned"),
    "battery": ("nominal", "charge", "capacity", "most_charge", "chemistry", "usable"),
    "controllers": ("catalogue", "fitted", "choose", "most_clipped_pct", "on_board"),
    "wiring": ("most_string_v", "most_mismatch_pct"),
    "cable": (
        *("roof_run", "gland_facet", "gland"),
        *("gland_to_controller", "controller_to_battery", "bar_to_battery"),
        *("ambient", "insulation", "bundled", "most_drop_pct", "least_roof_mm2"),
    ),
    "bench": ("irradiance", "cell"),
    "mounting_space": ("width", "height", "depth", "clearance"),
    "vehicle_charger": (
        *("name", "max_pv_v", "max_pv_isc_a", "max_charge_a"),
        *("start_above_battery_v", "efficiency_pct"),
    ),
    "portable_panel": ("model", "count", "name", "into"),
    "load": ("name", "watts", "hours", "watt_hours", "inverter", "months", "when"),
    "inverter": ("efficiency", "idle", "hours"),
    "driving": ("hours", "current", "months"),
    "mounts": ("kg_per_panel",),
    "vehicle": (
        *("kind", "axle_x", "coupling_x", "front_axle_x", "middle_y"),
        *("mass", "most_mass", "coupling", "most_coupling", "axle", "most_axle"),
        *("front_axle", "most_front_axle", "displacement", "metacentric_height"),
        *("most_roof", "most_roof_per_m2", "most_lopsided", "controllers_at"),
    ),
}

# Written [[facet]], once for each facet.
REPEATED_TABLES = ("facet", "obstacle", "kept_panel", "portable_panel", "load")


def header(table: str) -> str:
    """The table's header as it stands in the file."""
    return f"[[{table}]]" if table in REPEATED_TABLES else f"[{table}]"


def home_of(key: str) -> list[str]:
    """The tables that have this key, as a user would look for them."""
    return [header(table) if table else "the top" for table, keys in KEYS.items() if key in keys]
