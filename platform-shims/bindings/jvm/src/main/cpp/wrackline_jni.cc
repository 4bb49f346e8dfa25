// Records.java's native half, over wrackline.h. Arrays are copied in and out. What a Device throws counts as not done, and no callback leaves
// an exception behind: the core goes on and calls the next one, which no JNI function may see.
#include <jni.h>

#include <memory>
#include <string_view>
#include <vector>

#include "wrackline.h"

namespace {

using Array = std::vector<std::uint8_t>;

Array copy_in(JNIEnv* env, jbyteArray array) {
  if (array == nullptr) return {};
  Array out(static_cast<std::size_t>(env->GetArrayLength(array)));
  env->GetByteArrayRegion(array, 0, static_cast<jsize>(out.size()), reinterpret_cast<jbyte*>(out.data()));
  return out;
}

jbyteArray copy_out(JNIEnv* env, const std::uint8_t* bytes, std::size_t size) {
  jbyteArray out = env->NewByteArray(static_cast<jsize>(size));
  if (out != nullptr) env->SetByteArrayRegion(out, 0, static_cast<jsize>(size), reinterpret_cast<const jbyte*>(bytes));
  return out;
}

// Null, for Records.java, where there was no memory for an answer.
jbyteArray give(JNIEnv* env, wrackline_bytes bytes) {
  jbyteArray out = bytes.data == nullptr ? nullptr : copy_out(env, bytes.data, bytes.size);
  wrackline_free(bytes);
  return out;
}

// An exception of a C++ library, as for want of memory, must not go through the JVM either; null is as for
// give().
template <typename Work>
jbyteArray guarded(const Work& work) noexcept {
  try {
    return work();
  } catch (...) {
    return nullptr;
  }
}

// A Java Device as a platform; one without a signature, which is refused, when it has no key or the JVM no memory for a reference.
class DeviceOfJava {
 public:
  DeviceOfJava(JNIEnv* env, jobject device) {
    platform_.struct_size = sizeof platform_;
    platform_.context = this;
    env->GetJavaVM(&vm_);
    const jclass type = env->GetObjectClass(device);
    device_ = env->NewGlobalRef(device);
    jmethodID public_key = nullptr, has_fence = nullptr;
    const bool is_whole = device_ != nullptr && find(env, type, "sign", "([B)[B", sign_) && find(env, type, "wallClockMs", "()J", wall_clock_) &&
                          find(env, type, "readFence", "()[B", read_fence_) && find(env, type, "writeFence", "([B)Z", write_fence_) &&
                          find(env, type, "publicKey", "()[B", public_key) && find(env, type, "hasFence", "()Z", has_fence);
    env->ExceptionClear();
    env->DeleteLocalRef(type);
    if (!is_whole || !call(env, public_key, platform_.public_key, sizeof platform_.public_key)) return;
    platform_.sign = sign;
    platform_.wall_clock_ms = wall_clock_ms;
    if (env->CallBooleanMethod(device, has_fence) == JNI_TRUE && !env->ExceptionCheck()) {
      platform_.read_fence = read_fence;
      platform_.write_fence = write_fence;
    }
    env->ExceptionClear();
  }
  ~DeviceOfJava() {
    JNIEnv* const env = here();
    if (env != nullptr && device_ != nullptr) env->DeleteGlobalRef(device_);
  }
  DeviceOfJava(const DeviceOfJava&) = delete;
  const wrackline_platform& platform() const { return platform_; }

 private:
  // False, with no exception pending: an app's build took the method away, since nothing of Java calls it.
  static bool find(JNIEnv* env, jclass type, const char* name, const char* signature, jmethodID& out) {
    out = env->GetMethodID(type, name, signature);
    env->ExceptionClear();
    return out != nullptr;
  }

  // The environment of this thread, which came from Java.
  JNIEnv* here() const {
    void* env = nullptr;
    return vm_->GetEnv(&env, JNI_VERSION_1_8) == JNI_OK ? static_cast<JNIEnv*>(env) : nullptr;
  }

  // Calls a method that gives an array of exactly `size` bytes.
  template <typename... Args>
  bool call(JNIEnv* env, jmethodID method, std::uint8_t* out, std::size_t size, Args... args) const {
    const auto array = static_cast<jbyteArray>(env->CallObjectMethod(device_, method, args...));
    const bool is_done = !env->ExceptionCheck() && array != nullptr && static_cast<std::size_t>(env->GetArrayLength(array)) == size;
    env->ExceptionClear();
    if (is_done) env->GetByteArrayRegion(array, 0, static_cast<jsize>(size), reinterpret_cast<jbyte*>(out));
    if (array != nullptr) env->DeleteLocalRef(array);
    return is_done;
  }

  // A callback's argument; null, with no exception pending, when there is no memory for it or no JVM.
  static jbyteArray lent(JNIEnv* env, const std::uint8_t* bytes, std::size_t size) {
    if (env == nullptr) return nullptr;
    const jbyteArray out = copy_out(env, bytes, size);
    env->ExceptionClear();
    return out;
  }

  static int sign(void* context, const std::uint8_t* text, std::size_t size, std::uint8_t signature[64]) {
    const auto& self = *static_cast<DeviceOfJava*>(context);
    JNIEnv* env = self.here();
    const jbyteArray array = lent(env, text, size);
    if (array == nullptr) return 0;
    const bool is_done = self.call(env, self.sign_, signature, 64, array);
    env->DeleteLocalRef(array);
    return is_done ? 1 : 0;
  }
  static std::uint64_t wall_clock_ms(void* context) {
    const auto& self = *static_cast<DeviceOfJava*>(context);
    JNIEnv* env = self.here();
    if (env == nullptr) return 0;
    const jlong now = env->CallLongMethod(self.device_, self.wall_clock_);
    const bool has_thrown = env->ExceptionCheck();
    env->ExceptionClear();
    return has_thrown || now < 0 ? 0 : static_cast<std::uint64_t>(now);
  }
  static int read_fence(void* context, std::uint8_t point[20]) {
    const auto& self = *static_cast<DeviceOfJava*>(context);
    JNIEnv* env = self.here();
    return env != nullptr && self.call(env, self.read_fence_, point, 20) ? 1 : 0;
  }
  static int write_fence(void* context, const std::uint8_t point[20]) {
    const auto& self = *static_cast<DeviceOfJava*>(context);
    JNIEnv* env = self.here();
    const jbyteArray array = lent(env, point, 20);
    if (array == nullptr) return 0;
    const bool is_done = env->CallBooleanMethod(self.device_, self.write_fence_, array) == JNI_TRUE && !env->ExceptionCheck();
    env->ExceptionClear();
    env->DeleteLocalRef(array);
    return is_done ? 1 : 0;
  }

  JavaVM* vm_ = nullptr;
  jobject device_ = nullptr;
  jmethodID sign_ = nullptr, wall_clock_ = nullptr, read_fence_ = nullptr, write_fence_ = nullptr;
  wrackline_platform platform_{};
};

struct Handle {
  explicit Handle(JNIEnv* env, jobject of_java) : device(env, of_java) {}
  ~Handle() { wrackline_close(core); }
  Handle(const Handle&) = delete;
  DeviceOfJava device;  // Outlives the core.
  wrackline_core* core = nullptr;
};

Handle& handle_of(jlong handle) { return *reinterpret_cast<Handle*>(handle); }

const char* text_of(const Array& zero_ended) { return reinterpret_cast<const char*>(zero_ended.data()); }

void put(JNIEnv* env, jbooleanArray out, bool value) {
  const jboolean element = value ? JNI_TRUE : JNI_FALSE;
  env->SetBooleanArrayRegion(out, 0, 1, &element);
}

}  // namespace

extern "C" {

JNIEXPORT jbyteArray JNICALL Java_org_wrackline_Records_nativeVersion(JNIEnv* env, jclass) {
  const std::string_view version = wrackline_version();
  return copy_out(env, reinterpret_cast<const std::uint8_t*>(version.data()), version.size());
}

JNIEXPORT jbyteArray JNICALL Java_org_wrackline_Records_nativeOpen(JNIEnv* env, jclass, jobject device, jbyteArray path, jbyteArray reply,
                                                                   jbyteArray name, jlongArray out) {
  return guarded([&] {
    auto handle = std::make_unique<Handle>(env, device);
    const Array path_bytes = copy_in(env, path), reply_bytes = copy_in(env, reply), name_bytes = copy_in(env, name);
    const wrackline_platform* const platform = &handle->device.platform();
    const wrackline_bytes answer =
        reply == nullptr ? wrackline_open(platform, text_of(path_bytes), &handle->core)
                         : wrackline_create(platform, text_of(path_bytes), reply_bytes.data(), reply_bytes.size(), text_of(name_bytes), &handle->core);
    if (handle->core != nullptr) {
      const auto number = reinterpret_cast<jlong>(handle.release());
      env->SetLongArrayRegion(out, 0, 1, &number);
    }
    return give(env, answer);
  });
}

JNIEXPORT jbyteArray JNICALL Java_org_wrackline_Records_nativeEnrolRequest(JNIEnv* env, jclass, jobject device, jbyteArray code,
                                                                           jbyteArray name, jbooleanArray out) {
  return guarded([&] {
    const DeviceOfJava of_java(env, device);
    const Array code_bytes = copy_in(env, code), name_bytes = copy_in(env, name);
    int failed = 0;
    const wrackline_bytes answer = wrackline_enrol_request(&of_java.platform(), text_of(code_bytes), text_of(name_bytes), &failed);
    put(env, out, failed != 0);
    return give(env, answer);
  });
}

JNIEXPORT jbyteArray JNICALL Java_org_wrackline_Records_nativeSessionRequest(JNIEnv* env, jclass, jlong handle, jbyteArray nonce,
                                                                             jbooleanArray out) {
  return guarded([&] {
    const Array bytes = copy_in(env, nonce);
    int failed = 0;
    const wrackline_bytes answer = wrackline_session_request(handle_of(handle).core, bytes.data(), bytes.size(), &failed);
    put(env, out, failed != 0);
    return give(env, answer);
  });
}

JNIEXPORT jbyteArray JNICALL Java_org_wrackline_Records_nativeRepin(JNIEnv* env, jclass, jlong handle, jbyteArray hub_key) {
  return guarded([&] {
    const Array bytes = copy_in(env, hub_key);
    return give(env, wrackline_repin(handle_of(handle).core, bytes.data()));
  });
}

JNIEXPORT jbyteArray JNICALL Java_org_wrackline_Records_nativeCall(JNIEnv* env, jclass, jlong handle, jbyteArray call) {
  return guarded([&] {
    const Array bytes = copy_in(env, call);
    return give(env, wrackline_call(handle_of(handle).core, bytes.data(), bytes.size()));
  });
}

JNIEXPORT void JNICALL Java_org_wrackline_Records_nativeClose(JNIEnv*, jclass, jlong handle) { delete &handle_of(handle); }

}  // extern "C"
