// What the record says of one load, in the words of the sheets: verdict, hold, indicators, biological, decision.
#pragma once

#include "report/review/material.h"

namespace trayproof::review {

// Of its curves the worst; empty: no curve.
std::string verdict_of(const gaps::Load& load);
// The shortest hold of its curves, else as the operator read it, else from start to end where that is the process.
std::string hold_of(const gaps::Load& load);
std::optional<double> curve_hold_minutes(const gaps::Load& load);
std::optional<double> lowest_f0(const gaps::Load& load);
// "inside pass, outside pass"; of the load's own strips "load: outside pass".
std::string indicators_of(const gaps::Load& load, const gaps::Pack& pack);
// "inside pass 3, outside pass 1"
std::string indicator_counts(const gaps::Load& load);
// Its own readings; where it has none, the valid negatives before and after it.
std::string biological_of(const Material& material, const gaps::Load& load);
// Whether the SOP wants such loads released; so too where the method or the time is not known.
bool decision_asked(const Material& material, const gaps::Load& load);
// Its decisions in order, the last of which holds; those that came after the use say so.
std::string decision_of(const Material& material, const gaps::Load& load, const gaps::When& used);
// Solutions that the pack's set was soaked in before this packing.
std::string soaked_in(const gaps::Pack& pack);

// Whether the recorded evidence reached the conditions that the SOP states: by the curve, else by the operator's
// readings, else (boiling, chemicals) by start and end.
gaps::Told reached(const gaps::Facts& facts, const gaps::Load& load);

}  // namespace trayproof::review
