"""What is printed beside every result that touches fuel, fire, digging or night work."""

FUEL = (
    "Petrol vapour is heavier than air, poisons people within minutes and takes fire from a spark metres away. "
    "This figure is an estimate and clears nothing: only a calibrated meter, read by a designated, competent person, "
    "does. Local fuel, work-safety and animal-health law, and licensed practice, override it."
)
FIRE = (
    "A pit fire grows faster than it looks and throws sparks further than its heat. "
    "This figure never says that it is safe to light: permits, fire bans and the fire service decide, and two named "
    "people stand by. Local fire codes and licensed practice override it."
)
DIGGING = (
    "Pit walls fall without warning and buried services kill. "
    "Nobody enters a pit beyond the depth the local rule allows, and services are searched before the first spade. "
    "Local excavation and groundwater rules and licensed practice override this figure."
)
NIGHT = (
    "Night work hides trip hazards, tiredness and live bees. "
    "These times are computed for a level horizon and clear sky: watch the entrance itself before sealing. "
    "Local curfews, permits and animal-health orders override them."
)
