//! Whether this machine can draw a window, asked before one is opened.

use eframe::wgpu;

/// Why there is no window.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoWindow {
    /// Neither a display of X11 nor of Wayland.
    #[error("there is no display to open a window on; run it in a desktop session, or over ssh -X")]
    NoDisplay,
    /// No graphics adapter.
    #[error(
        "there is no graphics adapter to draw with; a driver for Vulkan is needed, on Debian: apt install libvulkan1 mesa-vulkan-drivers"
    )]
    NoAdapter,
    /// A library that a window needs is missing, or does not work.
    #[error(
        "a library that a window needs is missing or does not work ({0}); on Debian: apt install libx11-6 libx11-xcb1 libxcursor1 libxi6 libxrandr2 libxkbcommon-x11-0"
    )]
    NoLibrary(String),
    /// Anything else.
    #[error("the window could not be opened: {0}")]
    Refused(String),
}

/// The name of an adapter that can draw.
///
/// # Errors
/// [`NoWindow::NoAdapter`].
pub fn find() -> Result<String, NoWindow> {
    let descriptor = wgpu::InstanceDescriptor::new_without_display_handle_from_env();
    let instance = wgpu::Instance::new(descriptor);
    // The modern ones first: asking for the others makes some drivers talk on standard error.
    for backends in [wgpu::Backends::PRIMARY, wgpu::Backends::SECONDARY] {
        let adapters = pollster::block_on(instance.enumerate_adapters(backends));
        if let Some(adapter) = adapters.first() {
            return Ok(adapter.get_info().name);
        }
    }
    Err(NoWindow::NoAdapter)
}
