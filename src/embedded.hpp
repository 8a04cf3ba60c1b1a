// SPDX-License-Identifier: Apache-2.0
/// Files of configs/ and examples/ that CMake puts into the library (leanside_embed in CMakeLists.txt).
#pragma once

#include <string_view>

namespace leanside::embedded {

extern const std::string_view substances;
extern const std::string_view reactions;
extern const std::string_view flames;
extern const std::string_view school_prep_room;
extern const std::string_view page;     ///< style sheet
extern const std::string_view picture;  ///< style sheet
extern const std::string_view store;    ///< starters of a site file
extern const std::string_view prep_room;
extern const std::string_view battery_room;
extern const std::string_view lab;
extern const std::string_view collecting;
extern const std::string_view burner;
extern const std::string_view strike_back;
extern const std::string_view sealed;
extern const std::string_view electrolysis;

}  // namespace leanside::embedded
