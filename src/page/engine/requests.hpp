// SPDX-License-Identifier: Apache-2.0
/// What the page asks of the engine. Plain C++: a test compiles it for the machine and compares.
#pragma once

#include <functional>
#include <map>
#include <string>
#include <string_view>

namespace leanside::page {

/// The values of a request by name.
using Request = std::map<std::string, std::string, std::less<>>;

/// A request as the page sends it: names and values in turn, each as its number of bytes, a colon and the bytes.
Request unpacked(std::string_view packed);

/// Answers `request["command"]`, one of
///
/// | command | values | gives |
/// |---|---|---|
/// | check | text, file; points, case | `document` as `leanside check --format json`, `screen`, `course` |
/// | explain | text, file, space; case, columns | `document` as `leanside explain --format json`, `text` |
/// | release, stock | text, file | `document`, `text` |
/// | purge | gas; volume, flow, pressure, vacuum, oxygen, temperature, columns | `document`, `text` |
/// | substances, reactions | | `document` |
/// | starters | | `starters`: name to text; `example`: the built-in site |
///
/// The reply is a JSON object: `code` as the exit code of the program, `faults` (errors and notices: `level`, `file`,
/// `line`, `column`, `message`) and what the table says. Where the code is 2 or 3 there are only faults.
std::string reply_to(const Request& request);

}  // namespace leanside::page
