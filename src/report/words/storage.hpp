// SPDX-License-Identifier: Apache-2.0
/// Notes on what is stored, in words.
#pragma once

#include <string>

#include "report/words/words.hpp"

namespace leanside::report {

/// "8 L", "10 m3".
std::string stored_volume_words(Told site, double cubic_metres);

/// The gas of a store as the file names it.
std::string stored_gas_words(Told site, const StoredGas& gas);

/// m3 at site conditions.
double stored_volume(Told site, const StoredGas& gas);

/// "\"Oxygen cylinder\" (oxygen, 10 m3)".
std::string store_words(Told site, const StoredGas& gas);

/// "toxic, flammable, corrosive".
std::string class_words(const std::vector<StorageClass>& classes);

/// What is found; begins with a small letter and ends without a full stop.
std::string storage_words(Told site, const StorageFinding& finding);

/// What to do about it, in sentences, with the source of the practice.
std::string storage_remedy(Told site, const StorageFinding& finding);

}  // namespace leanside::report
