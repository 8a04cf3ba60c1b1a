// SPDX-License-Identifier: Apache-2.0
/// The fuzz targets. Each accepts any bytes and throws Broken if an answer breaks a promise.
#pragma once

#include <span>
#include <stdexcept>
#include <string>
#include <string_view>

#include "leanside/site.hpp"

namespace leanside::fuzz {

struct Broken : std::logic_error {
  using std::logic_error::logic_error;
};

/// Throws if `holds` is false. `promise` states the condition.
inline void promise(bool holds, const char* promise) {
  if (!holds) throw Broken{promise};
}

void quantity(std::string_view bytes);    ///< a quantity, and user text for a terminal
void site_file(std::string_view bytes);   ///< a site file
void substances(std::string_view bytes);  ///< a file of substances
void tracer(std::string_view bytes);      ///< readings of a tracer gas, and their fit
void part(std::string_view bytes);        ///< a part of a sweep, joined
void solver(std::string_view bytes);      ///< a whole site drawn from the bytes: solved, assessed, reported
void solved_site(std::string_view text);  ///< a site file: the same

const Site& three_rooms();  ///< the site of the tracer readings, with rooms a, b and c

struct Target {
  std::string_view name;
  void (*run)(std::string_view bytes);
};
inline constexpr Target targets[] = {{"quantity", quantity}, {"site_file", site_file}, {"substances", substances},
                                     {"tracer", tracer},     {"part", part},           {"solver", solver}};

/// Makes the text of a site file from bytes. It uses every key of docs/site-file.md, with values from the smallest to
/// the largest that a user might write. Most of the sites can be solved; some break a rule.
std::string drawn_site(std::string_view bytes);

}  // namespace leanside::fuzz
