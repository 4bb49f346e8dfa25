// Frees what a C library has made: std::unique_ptr<BIO, Freer<BIO_free_all>>.
#pragma once

namespace wrackline {

template <auto free_function>
struct Freer {
  template <typename T>
  void operator()(T* pointer) const {
    free_function(pointer);
  }
};

}  // namespace wrackline
