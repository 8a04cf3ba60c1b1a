// SPDX-License-Identifier: Apache-2.0
#include "base/text/stop.hpp"

#include <cstdlib>
#include <stdexcept>

namespace leanside {

void stop_with(const std::string& reason) {
#ifdef __cpp_exceptions
  throw std::logic_error{reason};
#else
  static_cast<void>(reason);
  std::abort();
#endif
}

}  // namespace leanside
