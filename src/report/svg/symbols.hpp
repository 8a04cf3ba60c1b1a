// SPDX-License-Identifier: Apache-2.0
/// Plain symbols of our own for what stands in a room. Each stands on the point (x, y) and is at most 24 px high.
#pragma once

#include <string>

#include "leanside/site.hpp"

namespace leanside::report::svg {

enum class Symbol { cylinder, liquid, battery, reaction, leak, flame, vessel, cabinet };

Symbol symbol_of(const Release& release);

std::string symbol(Symbol what, double x, double y);

}  // namespace leanside::report::svg
