// SPDX-License-Identifier: Apache-2.0
// Stands in for the header of Boost: the engine has one thread, and its C++ library no mutex.
#pragma once

namespace boost::detail {

class lightweight_mutex {
 public:
  class scoped_lock {
   public:
    explicit scoped_lock(lightweight_mutex&) {}
  };
};

}  // namespace boost::detail
