"""Barwright: from readings taken on the vehicle to parts that fit the first time."""
