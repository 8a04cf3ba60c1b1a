// SPDX-License-Identifier: Apache-2.0
#include <exception>

#include <fmt/format.h>

#include "input/toml_reader.hpp"

namespace leanside::input {

std::optional<toml::table> parse_toml(std::string_view text, Faults& faults) {
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& fault) {
    const auto& begin = fault.source().begin;
    faults.error({static_cast<int>(begin.line), static_cast<int>(begin.column)}, std::string{fault.description()});
  } catch (const std::exception& fault) {
    faults.error({}, fmt::format("could not be read: {}", fault.what()));
  }
  return {};
}

}  // namespace leanside::input
