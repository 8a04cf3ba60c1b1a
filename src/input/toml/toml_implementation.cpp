// SPDX-License-Identifier: Apache-2.0
// The parts of toml++ that are not templates, compiled once with the settings of toml_reader.hpp: the library that the
// distribution compiled has others, and assumes what some texts do not keep.
#define TOML_IMPLEMENTATION
#include "input/toml/toml_reader.hpp"
