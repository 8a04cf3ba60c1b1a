// SPDX-License-Identifier: Apache-2.0
/// The columns of the two tables of a schedule.
#pragma once

#include <array>

#include "input/schedule/schedule_columns.hpp"

namespace leanside::input {

inline constexpr auto room_columns = std::to_array<ColumnKind>({
    {.name = "room", .other_words = "id|room id|room no|room number|number|space|raum|raumnummer"},
    {.name = "name", .other_words = "room name|description|use|bezeichnung"},
    {.name = "floor", .other_words = "level|storey|geschoss"},
    {.name = "kind", .other_words = "type"},
    {.name = "area", .dimension = Dimension::area, .other_words = "floor area|net area|room area"},
    {.name = "height", .dimension = Dimension::length, .other_words = "ceiling height|room height|clear height"},
    {.name = "volume", .dimension = Dimension::volume, .other_words = "room volume"},
    {.name = "elevation", .dimension = Dimension::length, .other_words = "floor level"},
    {.name = "temperature", .dimension = Dimension::temperature, .other_words = "room temperature"},
    {.name = "supply", .dimension = Dimension::volume_flow, .other_words = "supply air|supply flow"},
    {.name = "extract",
     .dimension = Dimension::volume_flow,
     .other_words = "extract air|exhaust|exhaust air|return air|extract flow"},
    {.name = "transfer to", .other_words = "transfer|transfer target|overflow to|transfer air to"},
    {.name = "system", .other_words = "ahu|air handling unit|unit|plant"},
    {.name = "door to", .other_words = "door"},
    {.name = "undercut", .dimension = Dimension::length, .other_words = "door undercut|door gap"},
});

inline constexpr auto airway_columns = std::to_array<ColumnKind>({
    {.name = "airway", .other_words = "id"},
    {.name = "kind", .other_words = "type"},
    {.name = "from", .other_words = "between"},
    {.name = "to", .other_words = "and"},
    {.name = "flow", .dimension = Dimension::volume_flow, .other_words = "air flow|airflow"},
    {.name = "leakage_area", .dimension = Dimension::area},
    {.name = "exponent", .plain_number = true},
    {.name = "width", .dimension = Dimension::length},
    {.name = "height", .dimension = Dimension::length},
    {.name = "sill", .dimension = Dimension::length},
    {.name = "free_area", .dimension = Dimension::area},
    {.name = "free_share", .plain_number = true},
    {.name = "open", .plain_number = true},
    {.name = "discharge", .plain_number = true},
    {.name = "wind_coefficient", .plain_number = true},
    {.name = "curve"},
    {.name = "on"},
    {.name = "system", .other_words = "ahu|air handling unit|unit|plant"},
});

}  // namespace leanside::input
