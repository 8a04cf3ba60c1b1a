// SPDX-License-Identifier: Apache-2.0
/// Looking units up, and guessing which one a person meant.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "leanside/units.hpp"

namespace leanside {

/// The unit of exactly that symbol; null where there is none.
const Unit* find_unit(std::string_view symbol);

/// `text` with superscripts, degree and micro signs in the plain letters of the table: "m³" -> "m3", "°C" -> "degC".
std::string in_plain_letters(std::string_view text);

/// The unit that was probably meant by `text`, best one of the `allowed` dimensions (all where empty): "litres per
/// minute" -> "L/min", "hours" -> "h". Empty where nothing is near. Only ever offered to the user, never assumed.
std::string_view unit_meant(std::string_view text, std::span<const Dimension> allowed);

}  // namespace leanside
