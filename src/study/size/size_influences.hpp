// SPDX-License-Identifier: Apache-2.0
/// What an answer about sizes says besides the sizes: what matters most, and why nothing was found.
#pragma once

#include <string>

#include "leanside/study/size.hpp"

namespace leanside::study {

/// Fills `influences`: what the worst space of the file as it is answers to most.
void find_influences(const Site& site, Sizing& out);

/// Why none of the warnings ends, from what remains.
std::string nothing_cured(const Sizing& sizing);

}  // namespace leanside::study
