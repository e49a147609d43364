"""Checks a plan against its job, from the rules alone: nothing here is shared with what made the plan."""

from __future__ import annotations

from rooflayout.inspection import (
    balances,
    batteries,
    bookkeeping,
    cables,
    electrical,
    fuses,
    geometry,
    hot_drop,
    matching,
    portable,
    readings,
    rules,
    stated,
    unlike,
    yields,
)
from rooflayout.inspection.breach import Breach, Rule
from rooflayout.job import Job
from rooflayout.plan import Plan

__all__ = ["RULES", "Breach", "inspect_plan"]

RULES: tuple[Rule, ...] = (
    bookkeeping.names_are_unique,
    matching.facet_is_known,
    matching.model_is_known,
    geometry.position_is_a_number,
    matching.sides_are_the_models,
    matching.turned_only_where_allowed,
    matching.kept_panels_are_there,
    matching.no_kept_panel_is_invented,
    geometry.inside_outline,
    geometry.clear_of_obstacles,
    geometry.clear_of_lids,
    geometry.apart_from_panels,
    rules.model_is_in_use,
    rules.within_stock,
    rules.within_most_models,
    rules.within_most_mass,
    rules.within_budget,
    rules.boxes_hang_in_their_space,
    bookkeeping.plan_is_wired,
    bookkeeping.panels_are_on_one_string,
    bookkeeping.strings_name_panels,
    bookkeeping.strings_are_of_one_kind,
    unlike.strings_of_a_tracker_get_on,
    bookkeeping.controllers_are_known,
    bookkeeping.trackers_exist,
    electrical.electrical_values_are_given,
    electrical.below_tracker_voltage,
    electrical.below_system_voltage,
    electrical.below_the_jobs_cap,
    electrical.above_charge_voltage,
    electrical.below_tracker_current,
    electrical.battery_is_served,
    electrical.within_the_batterys_charge,
    stated.temperatures_are_the_jobs,
    stated.temperatures_are_no_milder_than_estimated,
    stated.string_figures_are_right,
    stated.controller_figures_are_right,
    stated.mismatch_is_within_the_jobs,
    stated.readings_and_runs_name_what_is_there,
    cables.every_run_is_there,
    cables.run_currents_are_right,
    cables.runs_are_as_long_as_the_job_says,
    cables.sizes_are_standard,
    cables.runs_carry_their_current,
    cables.runs_fit_their_terminals,
    cables.roof_runs_are_strong_enough,
    cables.drops_are_right,
    cables.paths_keep_to_the_drop,
    hot_drop.voltages_at_controllers_are_right,
    hot_drop.strings_reach_their_controllers,
    fuses.fuses_are_there,
    fuses.fuses_are_the_right_size,
    fuses.isolators_are_there,
    readings.readings_are_complete,
    readings.readings_are_right,
    readings.ranges_hold_their_reading,
    portable.portable_are_the_jobs,
    portable.portable_are_all_there,
    portable.portable_below_voltage,
    portable.portable_above_charge_voltage,
    portable.portable_below_current,
    portable.portable_battery_is_served,
    portable.portable_figures_are_right,
    bookkeeping.panel_watts_are_the_models,
    bookkeeping.watts_add_up,
    bookkeeping.status_is_consistent,
    yields.months_are_twelve,
    yields.charge_states_are_in_order,
    yields.year_is_the_months,
    yields.demand_is_the_jobs,
    batteries.sizes_are_the_batterys,
    batteries.band_is_in_order,
    batteries.load_hours_can_be,
    yields.masses_add_up,
    yields.loads_balance,
    yields.limits_are_the_jobs,
    balances.centre_is_the_items,
    balances.lopsided_is_the_items,
    balances.heel_is_the_masses,
    balances.payload_is_what_is_left,
    balances.roof_bears_its_panels,
)


def inspect_plan(job: Job, plan: Plan) -> list[Breach]:
    """Every breach of every rule, rule by rule; an empty list means that everything holds.

    The plan may be ours, hand-made or as built. Names that the job does not know, and figures that
    are not numbers, are breaches, never errors.
    """
    return [breach for rule in RULES for breach in rule(job, plan)]
