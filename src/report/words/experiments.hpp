// SPDX-License-Identifier: Apache-2.0
/// What a vessel on a bench may do, in words.
#pragma once

#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// Whether a warning is told as what a vessel may do.
bool is_experiment(const Warning& warning);

/// For the verdict, before the time: "the flame on Tin may strike back".
std::string experiment_danger(Told site, const Warning& warning);
/// When and how badly, in sentences; begins with a small letter and ends without a full stop.
std::string experiment_when(Told site, const Warning& warning);
/// What to do, in full sentences.
std::string experiment_act(Told site, const Warning& warning);

/// How to sweep the air out of a vessel that is told in other words, before what leaves is lit; empty where nothing is
/// to be said.
std::string experiment_test(Told site, const Warning& warning);

/// Every fact about the vessels of a case, in full sentences.
std::vector<std::string> experiment_sentences(Told site, const CaseResult& result);

/// "0.21 g of zinc": `share` of the reagent of a reaction that is used up first; empty for every other release.
std::string reagent_words(Told site, const Release& release, double share);

/// m3 of gas as "250 mL" or "2.4 L"; J as "320 J" or "4.5 kJ".
std::string gas_volume_words(Told site, double volume);
std::string heat_words(double heat);
/// What the content of a vessel is made of: "methane", "methane and oxygen".
std::string content_words(Told site, const Experiment& experiment);

}  // namespace leanside::report
