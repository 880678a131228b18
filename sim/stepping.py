"""The inner loop of the physical bench: one fixed step after another on plain numbers.

Kept apart from `plant` because it is written for speed: everything that is used every step is a local name, and
what changes slowly comes from `Plant.refresh`. The order of a step: water mixes; the vapour relaxes towards what
the liquid at mid-step would saturate; heat flows for the whole step; gas leaks; the pressure follows.
"""

from __future__ import annotations

from math import exp

from sim.liquids import R
from sim.plant import LIFTED_TIME, LIFTED_TO_AIR_TIME, NEAR, VALVE_SWAP_TIME, VALVE_TIME, Plant

#: One row per step: bath, part of the bath not yet mixed (as K of the whole), liquid, gas [K]; pressure [Pa];
#: air and vapour in the gas, liquid, air and water in the liquid [mol].
Row = tuple[float, float, float, float, float, float, float, float, float]


def advance(plant: Plant, count: int) -> list[Row]:
    """Take `count` steps; returns the state after each."""
    rows: list[Row] = []
    cell, ledger, step = plant.cell, plant.ledger, plant.step
    half = 0.5 * step
    cross = plant.liquid.cross_virial_air
    cell_volume, tube, neck_fraction = cell.volume, cell.tube, cell.neck_fraction
    main_part = (1.0 - neck_fraction) * (1.0 - cell.stagnant_fraction)
    stagnant_part = (1.0 - neck_fraction) * cell.stagnant_fraction
    neck_cooling, gas_heat, film = cell.neck_cooling, cell.gas_heat, cell.film
    half_glass = 0.5 * cell.glass
    ostwald = plant.ostwald
    k_inner = half * half_glass / cell.inner_time
    k_gas = half * gas_heat / cell.gas_time
    gas_whole = gas_heat + k_gas
    gas_share = k_gas / gas_whole
    inner_start, gas_rest = half_glass + k_inner, k_gas * (1.0 - gas_share)
    lifted, moist = plant.lifted, plant.n_water_gas > 0.0 or plant.n_water_liquid > 0.0
    heat_room = heat_latent = heat_carried = 0.0  # J; brought into the ledger at the end
    t_bath, t_outer, t_inner = plant.t_bath, plant.t_outer, plant.t_inner
    t_liquid, t_gas, t_before = plant.t_liquid, plant.t_gas, plant.t_liquid_before
    unmixed, pressure = plant.unmixed, plant.pressure
    n_liquid, n_air, n_water = plant.n_liquid, plant.n_air, plant.n_water_gas
    n_main, n_stagnant, n_neck, n_tube = plant.n_main, plant.n_stagnant, plant.n_neck, plant.n_tube
    n_air_liquid, n_water_liquid = plant.n_air_liquid, plant.n_water_liquid
    every = plant.refresh_every
    # At a multiple of `every` steps the slow quantities are due, whether or not they were brought up to date since.
    since = plant.steps % every or every
    loaded = False
    t_refreshed = plant.slow.temperature
    for _ in range(count):
        due = since >= every or not -NEAR <= t_liquid - t_refreshed <= NEAR
        if due or not loaded:
            if due:
                plant.t_liquid, plant.t_gas, plant.n_liquid = t_liquid, t_gas, n_liquid
                plant.refresh()
                since %= every
            loaded = True
            (
                t_refreshed, lnc, slope, curve, virial, latent, heat_capacity, volume_molar, expansion, saturation,
                water_pull, water_full, density_neck, density_tube, f_evaporate, f_condense, f_stagnant, f_neck,
                f_tube, f_air, f_water, f_mix, liquid_time, air_constant, air_slope,
            ) = plant.slow  # fmt: skip
            t_room, p_room = plant.room_temperature, plant.room_pressure
            k_loss = half * plant.bath.loss * plant.draught
            heater = plant.bath.heater * step
            capacity = plant.bath_capacity()
            k_outer, k_air = half * half_glass / cell.outer_time, 0.0
            if plant.cell_lifted:
                k_outer, k_air = 0.0, half * half_glass / LIFTED_TO_AIR_TIME
            outer_start, bath_start = half_glass + k_outer + k_air, capacity + k_loss
            air_heat, loss_heat = k_air * t_room, k_loss * t_room
            rate = plant.leak_rate + (1.0 / VALVE_TIME if plant.valve_open else 0.0)
            f_leak = 1.0 - exp(-step * rate)
            f_swap = 1.0 - exp(-step / VALVE_SWAP_TIME) if plant.valve_open else 0.0
            lift_at, reseat_at = p_room + plant.lift_pressure, p_room + plant.reseat_pressure
            f_lifted = 1.0 - exp(-step * (rate + 1.0 / LIFTED_TIME))
        since += 1

        mixed = unmixed * f_mix
        unmixed -= mixed

        # Matter: vapour towards what the liquid saturates at mid-step.
        volume = cell_volume - n_liquid * (volume_molar + expansion * (t_liquid - t_refreshed))
        v_main = volume * main_part
        t_mid = t_liquid + 0.5 * (t_liquid - t_before)
        density = n_main / v_main
        evaporated = 0.0
        if n_liquid > 0.0 or density > 0.0:
            d = t_mid - t_refreshed
            density_air = (n_air + n_water) / (volume + tube)
            ln_pure = lnc + d * (slope + d * curve)
            pure = exp(ln_pure)
            shift = 2.0 * (virial * (pure - density) - cross * density_air)
            shift += volume_molar * (pressure - saturation) / (R * t_mid)
            if n_liquid > 0.0:
                shift -= (n_air_liquid + n_water_liquid) / n_liquid
            evaporated = pure * exp(shift) * v_main - n_main
            evaporated *= f_evaporate if evaporated > 0.0 else f_condense
            if evaporated > n_liquid:
                evaporated = n_liquid
            n_main += evaporated
            if stagnant_part > 0.0:
                moved = (density * volume * stagnant_part - n_stagnant) * f_stagnant
                n_main -= moved
                n_stagnant += moved
            if neck_fraction > 0.0:
                t_neck = t_gas + neck_cooling * (t_room - t_gas)
                there = density * t_gas / t_neck
                there = there if there < density_neck else density_neck
                moved = (there * volume * neck_fraction - n_neck) * f_neck
                n_main -= moved
                n_neck += moved
            if tube > 0.0:
                there = density * t_gas / t_room
                there = there if there < density_tube else density_tube
                moved = (there * tube - n_tube) * f_tube
                n_main -= moved
                n_tube += moved
            if n_liquid > 0.0:
                soaked = ostwald * n_liquid * volume_molar
                moved = ((n_air + n_air_liquid) * soaked / (volume + soaked) - n_air_liquid) * f_air
                n_air_liquid += moved
                n_air -= moved
                gone = evaporated / n_liquid
                if gone > f_air:
                    # A film that dries faster than air finds its way out of it: the air of what is gone goes along.
                    moved = n_air_liquid * gone
                    n_air_liquid -= moved
                    n_air += moved
            if moist and (n_liquid > 0.0 or n_water_liquid > 0.0):
                pull = water_pull * volume
                gas = (n_water + n_water_liquid) * pull / (pull + n_liquid)
                if gas > water_full * volume:
                    gas = water_full * volume
                moved = (gas - n_water) * f_water
                n_water += moved
                n_water_liquid -= moved

        # Heat: implicit midpoint, the tree bath - outer - inner - (liquid, gas) solved from its leaves.
        c_liquid = n_liquid * heat_capacity + film
        k_liquid = half * c_liquid / liquid_time
        liquid_whole = c_liquid + k_liquid
        liquid_share = k_liquid / liquid_whole
        b_liquid = (c_liquid * t_liquid - 0.5 * latent * evaporated) / liquid_whole
        b_gas = gas_heat * t_gas / gas_whole
        inner = inner_start + k_liquid * (1.0 - liquid_share) + gas_rest
        b_inner = (half_glass * t_inner + k_liquid * b_liquid + k_gas * b_gas) / inner
        inner_share = k_inner / inner
        outer = outer_start + k_inner * (1.0 - inner_share)
        b_outer = (half_glass * t_outer + k_inner * b_inner + air_heat) / outer
        outer_share = k_outer / outer
        bath = bath_start + k_outer * (1.0 - outer_share)
        m_bath = (capacity * t_bath + k_outer * b_outer + loss_heat + 0.5 * (mixed + heater)) / bath
        m_outer = b_outer + outer_share * m_bath
        m_inner = b_inner + inner_share * m_outer
        t_before = t_liquid
        t_bath = 2.0 * m_bath - t_bath
        t_outer = 2.0 * m_outer - t_outer
        t_inner = 2.0 * m_inner - t_inner
        t_liquid = 2.0 * (b_liquid + liquid_share * m_inner) - t_liquid
        t_gas = 2.0 * (b_gas + gas_share * m_inner) - t_gas
        heat_room += 2.0 * (k_loss * (t_room - m_bath) + k_air * (t_room - m_outer)) + heater
        heat_latent += latent * evaporated
        heat_carried += evaporated * heat_capacity * t_liquid
        n_liquid -= evaporated

        # Pressure, and what passes the border because of it.
        vapour = n_main + n_stagnant + n_neck + n_tube
        dry = n_air + n_water
        total = dry + vapour
        v_neck = volume * neck_fraction
        inverse = (volume - v_neck) / t_gas + tube / t_room
        if v_neck > 0.0:
            inverse += v_neck / (t_gas + neck_cooling * (t_room - t_gas))
        air_virial = air_constant + air_slope * t_gas
        bracket = (vapour * (vapour * virial + 2.0 * dry * cross) + dry * dry * air_virial) / (volume + tube)
        pressure = R * (total + bracket) / inverse
        if f_leak > 0.0 or pressure > lift_at or lifted:
            plant.n_air, plant.n_water_gas, plant.n_main = n_air, n_water, n_main
            lifted = pressure > (reseat_at if lifted else lift_at)
            f_now = f_lifted if lifted else f_leak
            if lifted and plant.lifted_at is None:
                plant.lifted_at = (plant.steps + len(rows)) * step
            left = _exchange(plant, total * (pressure - p_room) / pressure * f_now, f_swap)
            pressure *= 1.0 + left / total
            n_air, n_water, n_main = plant.n_air, plant.n_water_gas, plant.n_main
            moist = moist or n_water > 0.0
        solved = n_air_liquid + n_water_liquid
        rows.append((t_bath, unmixed / capacity, t_liquid, t_gas, pressure, dry, vapour, n_liquid, solved))

    plant.t_bath, plant.t_outer, plant.t_inner = t_bath, t_outer, t_inner
    plant.t_liquid, plant.t_gas, plant.t_liquid_before = t_liquid, t_gas, t_before
    plant.unmixed, plant.pressure, plant.lifted = unmixed, pressure, lifted
    ledger.heat_room += heat_room
    ledger.heat_latent += heat_latent
    ledger.heat_carried -= heat_carried
    plant.n_liquid, plant.n_air, plant.n_water_gas = n_liquid, n_air, n_water
    plant.n_main, plant.n_stagnant, plant.n_neck, plant.n_tube = n_main, n_stagnant, n_neck, n_tube
    plant.n_air_liquid, plant.n_water_liquid = n_air_liquid, n_water_liquid
    plant.steps += count
    return rows


def _exchange(plant: Plant, leaving: float, f_swap: float) -> float:
    """Let `leaving` mol of gas out (room gas in where negative) and swap a share with the room.

    Returns the change of the amount in the cell.  [mol]
    """
    ledger = plant.ledger
    before = plant.n_air + plant.n_water_gas + plant.n_main
    if leaving > 0.0:
        plant.let_out(min(leaving / before, 0.9))
        coming = 0.0
    else:
        coming = -leaving
    if f_swap > 0.0:
        now = plant.n_air + plant.n_water_gas + plant.n_main
        plant.let_out(f_swap)
        coming += f_swap * now
    if coming > 0.0:
        wet = plant.room_humid_share() * coming
        plant.n_water_gas += wet
        plant.n_air += coming - wet
        ledger.water_in += wet
        ledger.air_in += coming - wet
    return plant.n_air + plant.n_water_gas + plant.n_main - before
