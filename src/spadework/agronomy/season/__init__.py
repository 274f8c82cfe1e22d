"""How much nitrogen: the daily season balance of a grain legume, with its uncertainty."""

from spadework.agronomy.season.applied import Application
from spadework.agronomy.season.draws import draw_parameters, middle_parameters, row_of
from spadework.agronomy.season.kernel import season_balance
from spadework.agronomy.season.parameters import Parameters
from spadework.agronomy.season.result import SeasonResult
from spadework.agronomy.season.run import FieldSeason, field_season
from spadework.agronomy.season.stages import ObservedStage
from spadework.agronomy.season.variance import variance_shares
from spadework.agronomy.season.weather import (
    DailyWeather,
    daily_weather,
    extraterrestrial_radiation,
    reference_evapotranspiration,
)

__all__ = [
    "Application",
    "DailyWeather",
    "FieldSeason",
    "ObservedStage",
    "Parameters",
    "SeasonResult",
    "daily_weather",
    "draw_parameters",
    "extraterrestrial_radiation",
    "field_season",
    "middle_parameters",
    "reference_evapotranspiration",
    "row_of",
    "season_balance",
    "variance_shares",
]
