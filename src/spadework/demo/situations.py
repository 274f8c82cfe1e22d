"""The scenario of the demo season: some forty fields, one a row, with what each is there to show.

All of it is invented: districts, growers, fields, weather, plants. The roots are set by judgement so that each
situation looks the way advisers describe it; no figure here says anything about a real crop.
"""

from __future__ import annotations

import datetime as dt

from spadework.demo.plants import Nodulation, SecondScorer, Tops, Writing
from spadework.demo.scenario import Applied, Inoculant, Sight, Situation, SoilTest, Step, Visit
from spadework.knowledge.rows import Crop
from spadework.records.types import (
    CountingUnit,
    InoculantForm,
    NitrogenProduct,
    PhMethod,
    Placement,
    RootHealth,
    SizeClass,
    Sunlight,
    Texture,
    Wetness,
)

__all__ = ["SITUATIONS"]

D = dt.date
CLUSTER = CountingUnit.CLUSTER

# Roots that several situations share. Counts are nodules a plant unless a name says clusters.
GOOD_50 = Nodulation(mean=115, k=12)
GOOD_SOYBEAN = Nodulation(mean=30, k=8)
GOOD_CLUSTERS = Nodulation(mean=14, k=14)
POOR = Nodulation(mean=7, k=2, crown=0.35, red=0.7, stop_spread=0.4, size=SizeClass.UNDER_2_MM)
POOR_CLUSTERS = Nodulation(mean=2, k=2, crown=0.35, red=0.7, size=SizeClass.UNDER_2_MM)
NONE = Nodulation(mean=0, red=0)
YOUNG = Nodulation(mean=6, k=3, crown=0.8, red=0.15, white=1.0, size=SizeClass.UNDER_2_MM)

SHORT_OF_NITROGEN = Tops(vigour=2.5, pale_old=0.7, pale_young=0.1)
NO_INOCULANT = Inoculant(form=InoculantForm.NONE, placement=None, lot=None, expires_on=None, hours_to_sowing=None)
LATE_SOIL = (
    SoilTest(on=D(2026, 6, 20), ph=6.9, method=PhMethod.WATER, nitrate=12, organic_matter=1.4),
    SoilTest(on=D(2026, 6, 20), nitrate=10, top=15, bottom=60),
)
GRANULES = Inoculant(form=InoculantForm.GRANULE, placement=Placement.FURROW, lot="L-317", hours_to_sowing=None)

SITUATIONS: tuple[Situation, ...] = (
    # ---------------------------------------------------------------- the Orrelby Plain, sown in spring 2026
    Situation(
        name="well nodulated", field="north-01", called="North of the windbreak", grower="Grower 7",
        story="Peat on the seed, sown the same day, peas here before: red nodules thick on the crown.",
        expected_yield=3.0, applied=(Applied(on=D(2026, 5, 4), nitrogen=6),),
        crop=Crop.PEA, station="ridge", sown=D(2026, 5, 4), up=D(2026, 5, 15), area=64, host_last_year=2021,
        soil=(SoilTest(on=D(2026, 4, 11), ph=6.8, method=PhMethod.WATER, nitrate=22, organic_matter=3.6),),
        handling=(
            Step(what="kept in the dealer's cold room", hours=1400, temperature=4, sunlight=Sunlight.SHADE),
            Step(what="stirred onto the seed and sown", hours=5, temperature=14, sunlight=Sunlight.SHADE),
        ),
        visits=(Visit(on=D(2026, 6, 24), stage=51, roots=GOOD_50),),
    ),
    Situation(
        name="poor on new land without inoculant", field="north-02", called="Far quarter", grower="Grower 7",
        story="First peas on this land and no inoculant: a few small nodules where residents happened to be.",
        expected_yield=3.0,
        crop=Crop.PEA, station="ridge", sown=D(2026, 5, 5), up=D(2026, 5, 17), area=58, host_before=False,
        inoculants=(NO_INOCULANT,), sights=(Sight("pattern", "even over field"),),
        visits=(Visit(on=D(2026, 6, 25), stage=55, roots=POOR, tops=SHORT_OF_NITROGEN),),
    ),
    Situation(
        name="none at all", field="north-03", called="Old hay field", grower="Lanternfold Farm",
        story="Soybean on new land without inoculant: thirty plants, not one nodule.",
        expected_yield=2.6, applied=(Applied(on=D(2026, 5, 25), nitrogen=10),),
        crop=Crop.SOYBEAN, station="long-acre", sown=D(2026, 5, 25), up=D(2026, 6, 3), depth=4, area=31,
        host_before=False, maturity_group="0", inoculants=(NO_INOCULANT,),
        visits=(Visit(on=D(2026, 7, 9), stage=62, roots=NONE, tops=SHORT_OF_NITROGEN),),
    ),
    Situation(
        name="borderline with few plants", field="north-04", called="Mill flat", grower="Grower 3",
        story="Twelve plants, about as often adequate as not: dig more. On the wheel tracks the roots bend.",
        also=("packed soil",),
        expected_yield=2.8,
        crop=Crop.PEA, station="ridge", sown=D(2026, 5, 8), up=D(2026, 5, 19), area=45, host_last_year=2019,
        sights=(Sight("pattern", "wheel tracks"), Sight("compact soil", "yes"), Sight("bent shallow roots", "yes")),
        visits=(Visit(on=D(2026, 6, 29), stage=59, stops=3, each=4, roots=Nodulation(mean=66, k=8, stop_spread=0.1)),),
    ),
    Situation(
        name="patch in a wet hole", field="north-05", called="Below the dam", grower="Grower 3",
        story="Good everywhere but at the stop in the wet hole; the field is two fields, not a mean of both.",
        expected_yield=3.2,
        crop=Crop.PEA, station="ridge", sown=D(2026, 5, 6), up=D(2026, 5, 17), area=72, host_last_year=2022,
        sights=(Sight("pattern", "low places"), Sight("saturated soil", "yes", "3"),
                Sight("few nodules", "yes", "3")),
        visits=(
            Visit(
                on=D(2026, 6, 26), stage=53, stops=4, each=8,
                roots=Nodulation(mean=120, k=12, stop_factors=(1.0, 1.0, 0.06, 1.0)),
            ),
        ),
    ),
    Situation(
        name="laterals only", field="north-06", called="Long eighty", grower="Ninewillow Farm",
        story="The inoculant died on a hot truck; residents found the side roots later. Crowns are bare.",
        expected_yield=3.0,
        crop=Crop.PEA, station="ridge", sown=D(2026, 5, 9), up=D(2026, 5, 20), area=32, host_last_year=2020,
        inoculants=(Inoculant(lot="L-188", hours_to_sowing=30, seed_treatment="metalaxyl"),),
        handling=(
            Step(what="stood in the cab of the truck", hours=26, temperature=38, sunlight=Sunlight.SUN),
            Step(what="treated seed waited in the drill", hours=4, temperature=24, sunlight=Sunlight.SUN),
        ),
        visits=(Visit(on=D(2026, 6, 29), stage=55, roots=Nodulation(mean=62, k=6, crown=0.04, red=0.82),
                      tops=Tops(vigour=3.0, pale_old=0.5)),),
    ),
    Situation(
        name="crown and laterals", field="north-07", called="Spring hill", grower="Ninewillow Farm",
        story="Inoculant and residents both did their work: nodules on the crown and on the side roots.",
        expected_yield=3.0,
        crop=Crop.PEA, station="ridge", sown=D(2026, 5, 3), up=D(2026, 5, 14), area=40,
        host_last_year=2022, inoculants=(GRANULES,),
        visits=(
            Visit(on=D(2026, 6, 24), stage=53, roots=Nodulation(mean=140, k=12, crown=0.5), tops=Tops(vigour=4.5)),
        ),
    ),
    Situation(
        name="white inside, too early", field="north-08", called="East bench", grower="Grower 11",
        story="Three weeks after emergence the nodules are there but white: come back before judging.",
        expected_yield=1.7,
        crop=Crop.LENTIL, station="ridge", sown=D(2026, 5, 10), up=D(2026, 5, 21), depth=4, area=55,
        visits=(
            Visit(on=D(2026, 6, 11), stage=16, roots=Nodulation(mean=9, k=5, red=0.1, white=1.0, crown=0.8,
                                                                size=SizeClass.UNDER_2_MM)),
        ),
    ),
    Situation(
        name="green and brown, too late", field="north-09", called="Home quarter", grower="Grower 11",
        story="Dug when the pods were full: nodules old, green and brown. That is age, not failure.",
        expected_yield=3.0,
        crop=Crop.PEA, station="ridge", sown=D(2026, 5, 4), up=D(2026, 5, 15), area=61, host_last_year=2021,
        visits=(
            Visit(on=D(2026, 7, 28), stage=79, roots=Nodulation(mean=55, k=5, red=0.25, white=0.1),
                  tops=Tops(vigour=3.5, pale_old=0.5)),
        ),
    ),
    Situation(
        name="first look only", field="north-10", called="Tarn side", grower="Grower 5",
        story="Two and a half weeks after emergence: enough to see that nodules have come, not how many will.",
        expected_yield=1.7,
        crop=Crop.LENTIL, station="mill", sown=D(2026, 5, 12), up=D(2026, 6, 2), depth=4, area=48,
        visits=(Visit(on=D(2026, 6, 20), stage=15, stops=2, each=5, roots=YOUNG),),
    ),
    Situation(
        name="stage seen overrides the calendar", field="north-11", called="South gate", grower="Grower 9",
        story="Three and a half weeks up is too early by the calendar, yet the crop is in bud: what is seen counts.",
        expected_yield=3.0,
        crop=Crop.PEA, station="long-acre", sown=D(2026, 5, 14), up=D(2026, 5, 22), area=38, host_last_year=2018,
        visits=(Visit(on=D(2026, 6, 15), stage=51, roots=Nodulation(mean=105, k=12, stop_spread=0.05)),),
    ),
    Situation(
        name="cold spring", field="north-12", called="Tarn head", grower="Grower 5",
        story="Weeks of cold soil held the nodules back; few now, and too soon to call it failure.",
        expected_yield=2.6,
        crop=Crop.PEA, station="mill", sown=D(2026, 4, 25), up=D(2026, 5, 24), area=52, host_last_year=2021,
        visits=(Visit(on=D(2026, 6, 24), stage=15, roots=Nodulation(mean=22, k=3, red=0.55, white=1.0),
                      tops=Tops(vigour=3.0, pale_old=0.3)),),
    ),
    Situation(
        name="count classes", field="north-13", called="Pump house", grower="Lanternfold Farm",
        story="The scorer chose classes such as 11-20 and >50 instead of counting.",
        expected_yield=2.8,
        crop=Crop.SOYBEAN, station="long-acre", sown=D(2026, 5, 24), up=D(2026, 6, 2), depth=4, area=33,
        maturity_group="0", host_last_year=2024,
        visits=(Visit(on=D(2026, 7, 10), stage=63, roots=Nodulation(mean=24, k=5), writing=Writing(in_classes=1)),),
    ),
    Situation(
        name="counts and classes mixed", field="north-14", called="Ditch road", grower="Lanternfold Farm",
        story="Some plants counted, some put in a class, and on a third of them nothing was cut open.",
        also=("some plants uncut",),
        expected_yield=2.8,
        crop=Crop.SOYBEAN, station="long-acre", sown=D(2026, 5, 26), up=D(2026, 6, 4), depth=4, area=36,
        maturity_group="0", host_last_year=2023,
        visits=(Visit(on=D(2026, 7, 13), roots=Nodulation(mean=20, k=5),
                      writing=Writing(in_classes=0.4, uncut=0.35)),),
    ),
    Situation(
        name="clusters counted", field="north-15", called="Chapel field", grower="Grower 3",
        story="Bunches were counted instead of single nodules: held against more than five clusters.",
        expected_yield=3.0,
        crop=Crop.PEA, station="ridge", sown=D(2026, 5, 7), up=D(2026, 5, 18), area=50, host_last_year=2022,
        visits=(Visit(on=D(2026, 6, 28), stops=3, each=8, unit=CLUSTER, roots=GOOD_CLUSTERS),),
    ),
    Situation(
        name="nothing cut open", field="north-16", called="Railway forty", grower="Grower 9",
        story="Counted but never cut: a verdict by number only, and it says so.",
        crop=Crop.SOYBEAN, station="long-acre", sown=D(2026, 5, 23), up=D(2026, 6, 1), depth=4, area=30,
        maturity_group="00", host_last_year=2022,
        visits=(Visit(on=D(2026, 7, 8), stage=62, roots=Nodulation(mean=19, k=5), writing=Writing(cut=0)),),
    ),
    Situation(
        name="two scorers agree", field="north-17", called="Willow row", grower="Grower 9",
        story="Scored twice, and the two people saw the same: poorer where last year's spray passes overlapped.",
        also=("herbicide residue",),
        expected_yield=2.8,
        crop=Crop.SOYBEAN, station="long-acre", sown=D(2026, 5, 22), up=D(2026, 5, 31), depth=4, area=35,
        maturity_group="0", host_last_year=2024,
        sights=(Sight("pattern", "spray lines"), Sight("herbicide before", "yes"), Sight("stubby roots", "yes")),
        visits=(Visit(on=D(2026, 7, 9), stage=62, roots=Nodulation(mean=18, k=3), tops=Tops(vigour=3.2, pale_young=0.4),
                      writing=Writing(second=SecondScorer.AGREES)),),
    ),
    Situation(
        name="high nitrate", field="north-18", called="Manured strip", grower="Grower 11",
        story="Plenty of nitrate in the soil: green, strong plants with few nodules. Suppressed, not failed.",
        expected_yield=3.4, applied=(Applied(on=D(2026, 4, 18), nitrogen=40, product=NitrogenProduct.MANURE),),
        crop=Crop.PEA, station="ridge", sown=D(2026, 5, 5), up=D(2026, 5, 16), area=28, host_last_year=2020,
        soil=(SoilTest(on=D(2026, 4, 14), ph=7.1, method=PhMethod.WATER, nitrate=95),
              SoilTest(on=D(2026, 4, 14), nitrate=60, top=15, bottom=60)),
        visits=(Visit(on=D(2026, 6, 25), stage=53, roots=Nodulation(mean=14, k=2.5, size=SizeClass.UNDER_2_MM),
                      tops=Tops(vigour=4.5, follows=0.1, pale_old=0.0)),),
    ),
    Situation(
        name="poor host", field="north-19", called="Garden piece", grower="Lanternfold Farm",
        story="Common bean fixes little at best, and no target is published: the advice says what would be needed.",
        expected_yield=2.0,
        crop=Crop.COMMON_BEAN, station="long-acre", sown=D(2026, 6, 1), up=D(2026, 6, 9), depth=4, area=18,
        host_last_year=2023, sights=(Sight("pattern", "even over field"), Sight("few nodules", "yes")),
        visits=(Visit(on=D(2026, 7, 13), stage=61, roots=Nodulation(mean=12, k=2, crown=0.3, red=0.6),
                      tops=Tops(vigour=3.0, pale_old=0.4)),),
    ),
    Situation(
        name="treated seed", field="north-20", called="Bean ground", grower="Grower 9",
        story="Seed dressed with thiram and sown a day later: most of the peat's bacteria were dead by then.",
        expected_yield=2.5,
        crop=Crop.SOYBEAN, station="long-acre", sown=D(2026, 5, 28), up=D(2026, 6, 6), depth=4, area=22,
        maturity_group="00",
        host_before=False, inoculants=(Inoculant(seed_treatment="thiram", hours_to_sowing=26, lot="L-226"),),
        handling=(
            Step(what="peat stirred onto the dressed seed", hours=1, temperature=19, sunlight=Sunlight.SHADE,
                 partner="thiram"),
            Step(what="seed stood in the shed overnight", hours=25, temperature=16, sunlight=Sunlight.SHADE),
        ),
        sights=(Sight("seed", "dressed; gloves worn at sowing"),),
        visits=(Visit(on=D(2026, 7, 14), stage=62, roots=Nodulation(mean=5, k=1.2, crown=0.2, red=0.8),
                      tops=SHORT_OF_NITROGEN),),
    ),
    Situation(
        name="no weather station", field="north-21", called="Cabin corner", grower="Grower 12",
        story="Six plants from one stop, no stage, no emergence, no station: nobody can say if it was time.",
        also=("very few plants",),
        crop=Crop.PEA, station=None, sown=D(2026, 5, 6), up=None, area=20, texture=None, host_before=None,
        visits=(Visit(on=D(2026, 7, 1), stops=1, each=6, roots=Nodulation(mean=90, k=8)),),
    ),
    Situation(
        name="very many plants", field="north-22", called="The section", grower="Lanternfold Farm",
        story="Sixty plants in six stops: the verdict is settled and stays so.",
        expected_yield=3.2,
        crop=Crop.SOYBEAN, station="long-acre", sown=D(2026, 5, 21), up=D(2026, 5, 30), depth=4, area=250,
        maturity_group="0", host_last_year=2024, inoculants=(Inoculant(form=InoculantForm.LIQUID, lot="L-240"),),
        visits=(Visit(on=D(2026, 7, 11), stage=64, stops=6, each=10, roots=GOOD_SOYBEAN),),
    ),
    Situation(
        name="second dig a week later", field="north-23", called="Crane slough", grower="Grower 9",
        story="White at the first dig, red a week later: the trend answers what one visit could not.",
        expected_yield=2.8,
        crop=Crop.SOYBEAN, station="long-acre", sown=D(2026, 5, 27), up=D(2026, 6, 5), depth=4, area=41,
        maturity_group="0", host_last_year=2023,
        visits=(Visit(on=D(2026, 7, 6), stage=61, roots=Nodulation(mean=15, k=5, red=0.3, white=1.0)),
                Visit(on=D(2026, 7, 13), stage=63, roots=Nodulation(mean=23, k=6, red=0.85))),
    ),
    # ------------------------------------------------- the Tamberrow country, sown in autumn and winter 2026
    Situation(
        name="local target", field="south-01", called="Stony bench", grower="Grower 14",
        story="No target for chickpea is published; the district's own figure, set in the book, is used and named.",
        expected_yield=1.6,
        crop=Crop.CHICKPEA, station="saltpan", sown=D(2026, 5, 2), up=D(2026, 5, 18), depth=6, area=44,
        host_last_year=2023, inoculants=(GRANULES,),
        visits=(Visit(on=D(2026, 7, 20), stage=60, roots=Nodulation(mean=24, k=6)),),
    ),
    Situation(
        name="pale strips", field="south-02", called="Boundary run", grower="Saltbush Rise",
        story="Every second drill pass ran without granules: good and bare strips side by side.",
        expected_yield=2.8,
        crop=Crop.FABA_BEAN, station="saltpan", sown=D(2026, 5, 4), up=D(2026, 5, 19), depth=7, area=85,
        host_before=False, inoculants=(GRANULES,),
        sights=(Sight("pattern", "strips"),),
        visits=(Visit(on=D(2026, 7, 18), stage=60, stops=6, each=6, tops=Tops(vigour=4.0, follows=0.5, pale_old=0.3),
                      roots=Nodulation(mean=110, k=10, stop_factors=(1.0, 0.03), size=SizeClass.OVER_5_MM)),),
    ),
    Situation(
        name="dug too early", field="south-03", called="Quince block", grower="Saltbush Rise",
        story="Ten days after emergence there is nothing to judge yet; empty roots prove nothing.",
        expected_yield=2.8,
        crop=Crop.FABA_BEAN, station="saltpan", sown=D(2026, 6, 2), up=D(2026, 6, 23), depth=7, area=66,
        visits=(Visit(on=D(2026, 7, 3), stops=2, each=5, roots=Nodulation(mean=0.5, k=1, red=0, white=1.0,
                                                                                    size=SizeClass.UNDER_2_MM)),),
    ),
    Situation(
        name="few clusters", field="south-04", called="Old sheep yards", grower="Grower 14",
        story="Counted in clusters, most plants short of more than five: larvae have hollowed the nodules.",
        also=("nodule larvae",),
        expected_yield=2.8,
        crop=Crop.FABA_BEAN, station="saltpan", sown=D(2026, 5, 10), up=D(2026, 5, 26), depth=7, area=47,
        host_before=False, inoculants=(Inoculant(hours_to_sowing=14, lot="L-261"),),
        sights=(Sight("hollow nodules", "yes"), Sight("notched leaves", "yes")),
        visits=(Visit(on=D(2026, 7, 23), stage=60, stops=3, each=8, unit=CLUSTER,
                      roots=Nodulation(mean=4.5, k=5, crown=0.3, red=0.8), tops=Tops(vigour=3.0, pale_old=0.3)),),
    ),
    Situation(
        name="two scorers disagree", field="south-05", called="Wool shed", grower="Grower 14",
        story="One scorer finds twice the nodules of the other; settle that before settling the field.",
        expected_yield=2.8,
        crop=Crop.FABA_BEAN, station="saltpan", sown=D(2026, 5, 8), up=D(2026, 5, 24), depth=7, area=70,
        host_last_year=2022,
        visits=(Visit(on=D(2026, 7, 22), stage=61, roots=Nodulation(mean=85, k=8),
                      writing=Writing(second=SecondScorer.DISAGREES)),),
    ),
    Situation(
        name="acid soil", field="south-06", called="Upper bench", grower="Grower 15",
        story="The layer below the lime is acid: few nodules, most of them in the top few centimetres.",
        expected_yield=2.4,
        crop=Crop.FABA_BEAN, station="redgate", sown=D(2026, 5, 14), up=D(2026, 6, 2), depth=7, area=54,
        host_before=True, host_last_year=2017,
        soil=(SoilTest(on=D(2026, 3, 20), ph=5.6, method=PhMethod.CACL2, nitrate=18, bottom=5),
              SoilTest(on=D(2026, 3, 20), ph=4.5, method=PhMethod.CACL2, nitrate=15, top=5, bottom=20)),
        visits=(Visit(on=D(2026, 8, 3), stage=53, roots=Nodulation(mean=24, k=2, crown=0.8, stop_spread=0.3),
                      tops=SHORT_OF_NITROGEN),),
    ),
    Situation(
        name="sandy soil", field="south-07", called="Dune side", grower="Grower 15",
        story="Fewer nodules are normal on sand, and nobody wrote down when the crop came up.",
        also=("missing emergence",),
        expected_yield=1.9,
        crop=Crop.PEA, station="redgate", sown=D(2026, 5, 22), up=None, texture=Texture.SAND, area=90,
        host_last_year=2021,
        visits=(Visit(on=D(2026, 8, 10), stage=17, roots=Nodulation(mean=58, k=6, red=0.9)),),
    ),
    Situation(
        name="dry seedbed", field="south-08", called="Saltpan edge", grower="Saltbush Rise",
        story="Sown dry, no rain for two weeks and more: peat on the seed did not live to see the water.",
        expected_yield=1.6,
        crop=Crop.CHICKPEA, station="saltpan", sown=D(2026, 5, 4), up=D(2026, 5, 30), depth=6, area=95,
        host_before=False, inoculants=(Inoculant(hours_to_sowing=9, lot="L-233"),),
        sights=(Sight("dry seedbed", "yes"),),
        visits=(Visit(on=D(2026, 7, 24), stage=51, roots=Nodulation(mean=6, k=1.5, crown=0.3, stop_spread=0.3),
                      tops=SHORT_OF_NITROGEN),),
    ),
    Situation(
        name="waterlogged dig", field="south-09", called="River flat", grower="Grower 15",
        story="Dug out of standing water after a week of rain: mushy, brown inside, dark roots.",
        expected_yield=2.8,
        crop=Crop.FABA_BEAN, station="redgate", sown=D(2026, 5, 18), up=D(2026, 6, 6), depth=7, area=49,
        texture=Texture.CLAY, host_last_year=2022,
        visits=(Visit(on=D(2026, 8, 7), stage=55, wetness=Wetness.WATERLOGGED, conditions="water in the hole, rain",
                      roots=Nodulation(mean=75, k=6, red=0.4, white=0.1),
                      tops=Tops(vigour=2.5, pale_old=0.6, root_look=RootHealth.DISCOLOURED, root_ill=0.5)),),
    ),
    Situation(
        name="pale old leaves", field="south-10", called="Top dam", grower="Kettlemoss Farm",
        story="Old leaves pale and roots nearly bare; the peat was two years out of date. Short of nitrogen.",
        also=("expired lot",),
        expected_yield=2.2, applied=(Applied(on=D(2026, 8, 20), nitrogen=40, product=NitrogenProduct.UREA),),
        crop=Crop.PEA, station="redgate", sown=D(2026, 5, 24), up=D(2026, 6, 9), area=62, host_before=False,
        inoculants=(Inoculant(lot="L-091", expires_on=D(2024, 6, 30)),),
        visits=(Visit(on=D(2026, 8, 11), stage=17, roots=POOR, tops=Tops(vigour=2.0, pale_old=0.9, pale_young=0.1)),),
    ),
    Situation(
        name="pale young leaves", field="south-11", called="Gravel pit", grower="Kettlemoss Farm",
        story="Young leaves pale, nodules many and red: look for sulphur, not for nitrogen.",
        also=("clusters without a nodule target",),
        expected_yield=1.7,
        crop=Crop.LENTIL, station="saltpan", sown=D(2026, 5, 20), up=D(2026, 6, 4), depth=4, area=58,
        texture=Texture.SAND, host_last_year=2023,
        visits=(Visit(on=D(2026, 8, 7), stage=60, stops=3, each=8, unit=CLUSTER, roots=GOOD_CLUSTERS,
                      tops=Tops(vigour=3.0, follows=0.1, pale_young=0.85)),),
    ),
    Situation(
        name="wrong group on the label", field="south-12", called="Kiln paddock", grower="Grower 16",
        story="The packet said pea and lentil; chickpea takes no notice of those bacteria.",
        expected_yield=1.6,
        crop=Crop.CHICKPEA, station="saltpan", sown=D(2026, 5, 6), up=D(2026, 5, 23), depth=6, area=77,
        host_before=False, inoculants=(Inoculant(group="pea and lentil", lot="L-204"),),
        visits=(Visit(on=D(2026, 7, 24), stage=59, roots=Nodulation(mean=0.6, k=0.8, crown=0.2, red=0.4),
                      tops=SHORT_OF_NITROGEN),),
    ),
    Situation(
        name="missing sowing date", field="south-13", called="Brush corner", grower="Grower 16",
        story="Nobody wrote down the sowing, but the stage was seen; no lupin target is published, so no verdict.",
        also=("no target",),
        crop=Crop.LUPIN, station="saltpan", sown=None, up=None, area=110, texture=Texture.SAND,
        host_last_year=2024,
        visits=(Visit(on=D(2026, 8, 19), stage=61, roots=Nodulation(mean=28, k=6, crown=0.85),
                      tops=Tops(vigour=4.5)),),
    ),
    Situation(
        name="window opens soon", field="south-14", called="Lower terrace", grower="Grower 14",
        story="Sown late and not dug yet: the advice is when to go.",
        also=("no dig",),
        expected_yield=1.8,
        crop=Crop.LUPIN, station="redgate", sown=D(2026, 7, 15), up=D(2026, 8, 5), area=68, texture=Texture.SAND,
        host_last_year=2020,
    ),
    Situation(
        name="across the new year", field="south-15", called="Creek bend", grower="Kettlemoss Farm",
        story="Summer crop of the north of the district: the degree-days run on over 31 December.",
        expected_yield=1.2,
        crop=Crop.MUNG_BEAN, station="creek", sown=D(2025, 12, 5), up=D(2025, 12, 11), depth=4, area=74,
        host_before=False,
        visits=(Visit(on=D(2026, 1, 16), stage=61, roots=Nodulation(mean=21, k=6)),),
    ),
    Situation(
        name="weather missing for weeks", field="south-16", called="Far creek", grower="Kettlemoss Farm",
        story="The station stood still for five weeks and has no normals: the total says what it lacks.",
        expected_yield=1.2,
        crop=Crop.MUNG_BEAN, station="creek", sown=D(2026, 1, 20), up=D(2026, 1, 26), depth=4, area=63,
        host_before=True, host_last_year=2025,
        visits=(Visit(on=D(2026, 3, 4), stage=62, stops=3, each=8, unit=CLUSTER,
                      roots=Nodulation(mean=7, k=6)),),
    ),
    Situation(
        name="sparse and uneven", field="south-17", called="Heron fence", grower="Grower 16",
        story="Good plants beside bare ones where salt comes up: the interval is wide and says so.",
        also=("salt",),
        expected_yield=1.6,
        crop=Crop.CHICKPEA, station="saltpan", sown=D(2026, 5, 3), up=D(2026, 5, 19), depth=6, area=82,
        host_last_year=2019, soil=(SoilTest(on=D(2026, 7, 23), ph=8.1, method=PhMethod.WATER, ec=4.6),),
        sights=(Sight("pattern", "soil type places"),),
        visits=(Visit(on=D(2026, 7, 21), stage=60, stops=5, each=4,
                      roots=Nodulation(mean=18, k=1.5, stop_spread=0.6, crown=0.4)),),
    ),
    # Three winter crops sown late, so that on the day of the demo there is still time for nitrogen.
    Situation(
        name="in time, and a part failed", field="south-18", called="Two loads", grower="Grower 14",
        story="The last load of treated seed stood in the sun for a day: bare roots where it went. It can be mended.",
        expected_yield=2.4,
        crop=Crop.CHICKPEA, station="redgate", sown=D(2026, 7, 6), up=D(2026, 7, 24), depth=6, area=60,
        host_before=False, inoculants=(Inoculant(hours_to_sowing=26, lot="L-233"),), soil=LATE_SOIL,
        sights=(Sight("pattern", "fill change"),),
        visits=(Visit(on=D(2026, 9, 17), stage=53, stops=6, each=6, tops=Tops(vigour=3.6, pale_old=0.3),
                      roots=Nodulation(mean=28, k=10, stop_factors=(1.0, 1.0, 1.0, 0.02, 0.02, 1.0))),),
    ),
    Situation(
        name="in time, but not worth it", field="south-19", called="Late corner", grower="Kettlemoss Farm",
        story="Failed as a whole and still in time, yet nitrogen would cost more than the grain it brings.",
        expected_yield=3.0,
        crop=Crop.FABA_BEAN, station="redgate", sown=D(2026, 7, 5), up=D(2026, 7, 23), depth=7, area=90,
        host_before=False, inoculants=(NO_INOCULANT,), soil=LATE_SOIL,
        visits=(Visit(on=D(2026, 9, 17), stage=53, roots=POOR, tops=SHORT_OF_NITROGEN),),
    ),
    Situation(
        name="in time, dig again first", field="south-20", called="The long look", grower="Grower 16",
        story="Eight plants, some good and some bare: to dig more of them at once is worth more than to give nitrogen.",
        expected_yield=2.4,
        crop=Crop.CHICKPEA, station="redgate", sown=D(2026, 7, 8), up=D(2026, 7, 26), depth=6, area=160,
        host_before=False, soil=LATE_SOIL,
        visits=(Visit(on=D(2026, 9, 17), stage=51, stops=2, each=4, roots=Nodulation(mean=28, k=1.2, stop_spread=0.6),
                      tops=Tops(vigour=3.2, pale_old=0.15)),),
    ),
)  # fmt: skip
