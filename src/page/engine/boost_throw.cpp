// SPDX-License-Identifier: Apache-2.0
// Boost asks for this function where there are no exceptions.
#include <cstdlib>
#include <exception>

#include <boost/assert/source_location.hpp>

namespace boost {
[[noreturn]] void throw_exception(const std::exception&) { std::abort(); }
[[noreturn]] void throw_exception(const std::exception&, const boost::source_location&) { std::abort(); }
}  // namespace boost
