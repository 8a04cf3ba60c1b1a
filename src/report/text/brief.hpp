// SPDX-License-Identifier: Apache-2.0
/// Lists of a large site, short enough to be read: the worst or first of each, how many there are, and where all stand.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/site.hpp"
#include "report/text/text_page.hpp"

namespace leanside::report {

/// Whether there are so many spaces, counted in every case, that text for people cannot list them all.
bool is_large(const Site& site);

/// The first of a list, and how many more there are.
std::vector<std::string> first_of(std::vector<std::string> items, std::size_t most);

/// On one line behind a bullet, cut between two words.
std::string on_one_line(const std::string& text, const TextStyle& style);

/// A heading with the number of items, and the first of them on a line; nothing at all where there is none.
void put_counted(TextPage& page, const std::string& title, const std::vector<std::string>& items);

/// A list in full, of a large site as put_counted() has it.
void put_list_of(TextPage& page, const Site& site, const std::string& title, const std::vector<std::string>& items);

/// One assumption of each kind on a line, with how many there are of it: a large site leaks by assumption in hundreds
/// of places.
void put_assumptions_in_brief(TextPage& page, const Site& site, std::span<const Assumption> assumptions);

}  // namespace leanside::report
