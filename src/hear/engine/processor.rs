//! Whether this computer's processor can run the matrix kernels that were built in.
//!
//! A build tuned for one computer (GGML_NATIVE, whisper.cpp's default) ends with an illegal instruction on an
//! older one. ggml says which instructions its kernels were compiled for, and saying so uses none of them.

use super::EngineError;

/// Fails if the kernels need an instruction set that the processor does not have. Only x86-64 is checked: the
/// builds for other processors use what every one of them has.
pub(super) fn check() -> Result<(), EngineError> {
    #[cfg(target_arch = "x86_64")]
    {
        use std::arch::is_x86_feature_detected as has;
        use whisper_rs::whisper_rs_sys as sys;
        // SAFETY: these functions take nothing, touch nothing and return a constant of the build.
        let needs = unsafe {
            [
                ("AVX", sys::ggml_cpu_has_avx(), has!("avx")),
                ("AVX2", sys::ggml_cpu_has_avx2(), has!("avx2")),
                ("FMA", sys::ggml_cpu_has_fma(), has!("fma")),
                ("F16C", sys::ggml_cpu_has_f16c(), has!("f16c")),
                ("BMI2", sys::ggml_cpu_has_bmi2(), has!("bmi2")),
                ("AVX-VNNI", sys::ggml_cpu_has_avx_vnni(), has!("avxvnni")),
                ("AVX-512", sys::ggml_cpu_has_avx512(), has!("avx512f")),
                (
                    "AVX-512 VBMI",
                    sys::ggml_cpu_has_avx512_vbmi(),
                    has!("avx512vbmi"),
                ),
                (
                    "AVX-512 VNNI",
                    sys::ggml_cpu_has_avx512_vnni(),
                    has!("avx512vnni"),
                ),
                (
                    "AVX-512 BF16",
                    sys::ggml_cpu_has_avx512_bf16(),
                    has!("avx512bf16"),
                ),
            ]
        };
        missing(&needs)
    }
    #[cfg(not(target_arch = "x86_64"))]
    Ok(())
}

/// The first instruction set that is needed (not 0) and not there.
#[cfg(target_arch = "x86_64")]
fn missing(needs: &[(&'static str, i32, bool)]) -> Result<(), EngineError> {
    match needs.iter().find(|(_, needed, there)| *needed != 0 && !there) {
        Some((missing, ..)) => Err(EngineError::Processor { missing }),
        None => Ok(()),
    }
}

#[cfg(all(test, target_arch = "x86_64"))]
mod tests {
    use super::*;

    #[test]
    fn this_build_runs_here() {
        assert!(check().is_ok());
    }

    #[test]
    fn an_instruction_that_is_needed_and_not_there_is_named() {
        let error = missing(&[("AVX2", 1, true), ("AVX-512", 1, false), ("BMI2", 0, false)]).unwrap_err();
        assert!(error.to_string().contains("cannot do AVX-512"), "{error}");
    }

    #[test]
    fn an_instruction_that_is_not_needed_is_not_missed() {
        assert!(missing(&[("AVX2", 1, true), ("AVX-512", 0, false)]).is_ok());
    }
}
